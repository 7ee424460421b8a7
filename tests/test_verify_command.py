"""A proof is checked from its file: it holds as written, and no changed one does."""

import json
from dataclasses import replace

import pytest
from barwright import Rejected, read_bench, surely, vouched
from barwright.cli.finding.as_json import proof_form
from barwright.cli.kit.as_json import finding_form
from barwright.constraints.model.uncertainty import Uncertainty
from barwright.solver.prices.worth import proved
from blends import standalone

OILY = "examples/oily-hair"


@pytest.fixture(scope="module")
def printed(tmp_path_factory):
    """What the JSON of the oily bench says, printed once."""
    import subprocess
    import sys
    from pathlib import Path

    done = subprocess.run(
        [sys.executable, "-m", "barwright.cli", "cheapest", OILY, "--format", "json"],
        cwd=Path(__file__).resolve().parent.parent,
        capture_output=True,
        check=True,
        encoding="utf-8",
    )
    return json.loads(done.stdout)


def written(tmp_path, document):
    path = tmp_path / "answer.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return str(path)


def test_a_printed_finding_verifies_without_its_bench(barwright, tmp_path, printed):
    done = barwright("verify", written(tmp_path, printed))
    assert done.returncode == 0, done.stderr
    assert "the proof holds" in done.stdout
    assert f"{printed['cost']:.6f}" in done.stdout


def test_it_is_about_the_bench_it_came_from_and_about_no_other(barwright, tmp_path, printed):
    path = written(tmp_path, printed)
    assert barwright("verify", path, "--bench", OILY).returncode == 0
    other = barwright("verify", path, "--bench", "examples/dry-hair")
    assert other.returncode == 2
    assert "another bench's" in other.stderr


def test_a_bench_whose_price_moved_is_another_question(barwright, tmp_path, printed, root):
    folder = tmp_path / "bench"
    standalone(folder)
    shelf = folder / "shelf.csv"
    text = shelf.read_text(encoding="utf-8")
    shelf.write_text(text.replace("62.50 EUR", "62.51 EUR"), encoding="utf-8")
    done = barwright("verify", written(tmp_path, printed), "--bench", str(folder))
    assert done.returncode == 2
    assert "costs" in done.stderr


@pytest.mark.parametrize(
    "tamper",
    [
        lambda d: d.update(cost=d["cost"] - 0.01),
        lambda d: d.update(status="infeasible"),
        lambda d: d["composition"][0].update(share=d["composition"][0]["share"] + 0.001),
        lambda d: d["composition"].pop(),
        lambda d: d["composition"].append({"material": "gold leaf", "share": 0.0}),
        lambda d: d["certificate"]["program"]["costs"].reverse(),
        lambda d: d["certificate"]["answer"].update(cost="0x1"),
        lambda d: d["certificate"].pop("digests"),
        lambda d: d.pop("certificate"),
        lambda d: d["proof"].pop("columns"),
    ],
    ids=lambda tamper: None,
)
def test_nothing_changed_in_a_finding_still_verifies(barwright, tmp_path, printed, tamper):
    document = json.loads(json.dumps(printed))
    tamper(document)
    done = barwright("verify", written(tmp_path, document))
    assert done.returncode == 2
    assert not done.stdout


@pytest.mark.parametrize("text", ["", "{", "[]", "3", '{"certificate": {}}', "[" * 100_000])
def test_what_is_no_certificate_is_bad_input(barwright, tmp_path, text):
    path = tmp_path / "odd.json"
    path.write_text(text, encoding="utf-8")
    done = barwright("verify", str(path))
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


def test_a_file_that_is_not_there_is_bad_input(barwright):
    assert barwright("verify", "nowhere.json").returncode == 2


def test_a_certificate_file_verifies_and_is_not_overwritten_unasked(barwright, tmp_path):
    path = str(tmp_path / "proof.json")
    assert barwright("cheapest", OILY, "--certificate", path).returncode == 0
    assert barwright("verify", path, "--bench", OILY).returncode == 0
    assert barwright("cheapest", OILY, "--certificate", path).returncode == 2
    again = barwright("cheapest", OILY, "--certificate", path, "--overwrite")
    assert again.returncode == 0


def test_a_refusal_verifies_too(barwright, tmp_path, root):
    folder = tmp_path / "bench"
    standalone(folder)
    brief = folder / "brief.toml"
    text = brief.read_text(encoding="utf-8")
    brief.write_text(text.replace("10.80 EUR/kg", "6 EUR/kg"), encoding="utf-8")
    done = barwright("cheapest", str(folder), "--format", "json")
    assert done.returncode == 3
    document = json.loads(done.stdout)
    assert document["proof"]["proved"]
    held = barwright("verify", written(tmp_path, document), "--format", "json")
    assert json.loads(held.stdout)["kind"] == "infeasible"


@pytest.fixture(scope="module")
def for_lots(root):
    """A finding that is to hold for most lots, as it is printed."""
    sure = surely(read_bench(root / OILY), 0.6, draws=1000)
    finding, proof = proved(sure.bench, sure.finding)
    form = finding_form(sure.bench, finding)
    form |= proof_form(sure.bench, finding.program, finding.rows, proof, proved=True)
    return json.loads(json.dumps(form))


def test_a_proof_for_lots_is_compared_with_its_bench_row_by_row(barwright, tmp_path, for_lots):
    done = barwright("verify", written(tmp_path, for_lots), "--bench", OILY, "--format", "json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["cost"] == pytest.approx(for_lots["cost"])
    assert "mixes of another ionic strength" in found["not_vouched_for"]
    assert found["tried"]["lots"] == 10_000
    assert 0 < found["tried"]["broken"] < 10_000


def test_a_proof_for_lots_is_about_no_other_bench(barwright, tmp_path, for_lots):
    done = barwright("verify", written(tmp_path, for_lots), "--bench", "examples/dry-hair")
    assert done.returncode == 2
    assert not done.stdout


def held_for(document):
    return document["proof"]["held_for"]


@pytest.mark.parametrize(
    ("tamper", "said"),
    [
        (lambda d: held_for(d)["scales"].update(protein=0.99), "row"),
        (lambda d: held_for(d)["scales"].update(protein=-1.0), "no share"),
        (lambda d: held_for(d)["scales"].pop("protein"), "row"),
        (lambda d: held_for(d)["scales"].update(chalk=0.5), "the bench has not"),
        (lambda d: held_for(d).update(ionic_strength=0.2), "row"),
        (lambda d: held_for(d).update(ionic_strength=None), "no ionic strength"),
        (lambda d: held_for(d).update(readings=True), "readings"),
        (lambda d: held_for(d)["correction"].update(most=0.01), "row"),
        (lambda d: held_for(d)["correction"].update(material="kaolin, white"), "does not name"),
        (lambda d: held_for(d)["prices"].update({"chalk": 0.2}), "on the shelf"),
        (lambda d: held_for(d)["prices"].update({"kaolin, white": "dear"}), "no share"),
        (lambda d: held_for(d).pop("scales"), "for which lots"),
        (lambda d: d["proof"].update(held_for=None), "one ionic strength"),
    ],
    ids=lambda one: one if isinstance(one, str) else None,
)
def test_nothing_changed_in_what_a_proof_holds_for_still_verifies(root, for_lots, tamper, said):
    document = json.loads(json.dumps(for_lots))
    tamper(document)
    found = vouched(document, read_bench(root / OILY))
    assert isinstance(found, Rejected)
    assert said in found.reason


def test_a_rule_that_always_holds_is_proved_for_all_lots_or_not_at_all(root, for_lots):
    bench = read_bench(root / OILY)
    rules = (
        replace(rule, within=Uncertainty()) if rule.id == "protein" else rule
        for rule in bench.brief.rules
    )
    found = vouched(for_lots, bench.with_only(rules))
    assert isinstance(found, Rejected)
    assert "fewer lots" in found.reason
