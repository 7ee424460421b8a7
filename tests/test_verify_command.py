"""A proof is checked from its file: it holds as written, and no changed one does."""

import json

import pytest
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
