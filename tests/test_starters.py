"""What a maker begins with: several kinds of bar, which every command takes as they stand."""

import io
import re
from types import SimpleNamespace

import pytest
from barwright.cli.kit.app import COMMANDS, run
from barwright.cli.new import command as new_command
from barwright.constraints.bench.opening import read_bench, read_formula
from barwright.constraints.bench.starting import Starter, new_bench
from barwright.constraints.market.second_look import second_look
from barwright.constraints.rules.judging import judge
from barwright.solver.cheapest.cheapest import Finding, cheapest
from conftest import printed

KINDS = (None, *Starter)
QUARTER, HALF = (f"behentrimonium methosulfate, {grade} % grade" for grade in (25, 50))
BEGUN = {
    "cheapest": ("BENCH", "--no-proof"),
    "check": ("BENCH", "FORMULA"),
    "curve": ("BENCH", "--limit", "glycerin"),
    "sweep": ("BENCH", "--prices", "all=10%", "--count", "4"),
    "acidity": ("BENCH", "FORMULA"),
    "replace": ("BENCH", "FORMULA", "--without", "nettle extract, in glycerin"),
    "runout": (
        "BENCH",
        "FORMULA",
        "--old",
        QUARTER,
        "--new",
        HALF,
        "--stock",
        "2 kg",
        "--bars",
        "12",
    ),
    "batch": ("BENCH", "FORMULA", "--bars", "12"),
    "fill": ("BENCH",),
    "price": ("BENCH", "FORMULA", "--bars", "12"),
    "compare": ("FORMULA", "FORMULA"),
    "label": ("BENCH", "FORMULA"),
    "plan": ("WANTED",),
    "book": ("BENCH",),
}
ELSEWHERE = {"new", "schema", "verify", "materials", "page"}


def test_every_command_that_takes_a_bench_is_asked():
    assert set(BEGUN) | ELSEWHERE == set(COMMANDS)


@pytest.fixture(scope="module", params=KINDS, ids=str)
def begun(request, tmp_path_factory):
    folder = new_bench(tmp_path_factory.mktemp(str(request.param)) / "bench", request.param)
    wanted = folder.parent / "wanted.csv"
    wanted.write_text("formula;bars;week\nbench/formulas/first.toml;12;1\n", encoding="utf-8")
    return SimpleNamespace(
        kind=request.param, folder=folder, formula=folder / "formulas/first.toml", wanted=wanted
    )


def test_its_formula_keeps_every_rule_and_a_cheaper_one_is_found(begun):
    bench = read_bench(begun.folder)
    formula = read_formula(begun.formula, bench)
    assert [one.rule.id for one in judge(bench, formula) if not one.kept] == []
    found = cheapest(bench)
    assert isinstance(found, Finding)
    assert found.cost < bench.cost_of(formula)


def test_its_formula_doses_every_material_as_advised(begun):
    bench = read_bench(begun.folder)
    said = second_look(bench, read_formula(begun.formula, bench))
    assert [one for one in said if one.name.endswith("the dose advised")] == []


@pytest.mark.parametrize("command", BEGUN)
def test_every_command_takes_it_as_it_stands(command, begun, capsys):
    there = {"BENCH": begun.folder, "FORMULA": begun.formula, "WANTED": begun.wanted}
    with pytest.raises(SystemExit) as left:
        run([command, *(str(there.get(word, word)) for word in BEGUN[command])])
    assert left.value.code == 0, capsys.readouterr()


def test_the_rules_an_experienced_maker_keeps_stand_in_it(begun):
    """Figures of the trade: common practice, no source. Nothing washes in a conditioner bar."""
    rules = {rule.id: rule for rule in read_bench(begun.folder).brief.rules}
    assert rules["glycerin"].high == 0.03
    assert rules["essential oils"].high == 0.01
    assert rules["salts weighed in"].high == 0.03
    assert rules["clay"].high <= 0.08
    assert rules["worth weighing"].low == 0.001
    if begun.kind is Starter.CONDITIONER:
        assert {"anionic beside cationic", "active surfactant"}.isdisjoint(rules)
        return
    assert rules["fatty alcohol"].high == 0.10
    assert rules["anionic beside cationic"].low == 12
    both = rules["amphoteric beside anionic"]
    assert (both.low, both.high) == (0.08, 0.35)
    leads = begun.kind not in {Starter.MILD, Starter.SULFATE}
    assert ("isethionate beside sulfate" in rules) is leads


def test_what_a_batch_takes_beside_materials_stands_in_it_with_a_comment(begun):
    texts = [path.read_text(encoding="utf-8") for path in begun.folder.glob("b*.toml")]
    for key in ("bowl", "packaging_a_bar", "labour_a_batch", "spread"):
        assert any(re.search(rf"^{key} = .*#", text, re.MULTILINE) for text in texts), key
    assert any('room = "20 degC"' in text for text in texts)


@pytest.mark.parametrize(("answer", "name"), [("mild", "A mild bar"), ("", "A first bar")])
def test_on_a_terminal_the_kind_is_asked_for(answer, name, monkeypatch, tmp_path, capsys):
    monkeypatch.setattr(new_command, "_at_a_terminal", lambda: True)
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{answer}\n"))
    with pytest.raises(SystemExit) as left:
        run(["new", str(tmp_path / "bench")])
    assert left.value.code == 0, capsys.readouterr()
    assert read_bench(tmp_path / "bench").brief.name == name


def test_a_kind_that_is_not_known_is_refused_with_those_that_are(tmp_path, capsys):
    with pytest.raises(SystemExit) as left:
        run(["new", str(tmp_path / "bench"), "--kind", "liquid"])
    assert left.value.code == 2
    assert "conditioner" in capsys.readouterr().err
    assert not (tmp_path / "bench").exists()


def test_what_new_writes_makes_pages_too(tmp_path):
    pytest.importorskip("matplotlib")
    folder, into = new_bench(tmp_path / "bench"), tmp_path / "pages"
    printed(("page", str(folder), "--into", str(into)))
    assert (into / "index.html").is_file()
    assert len(list(into.glob("*.html"))) > 6
