"""A bench and its formulas: what stands in the files is what comes out, however it is written."""

import subprocess
import sys
from pathlib import Path
from typing import TypeVar

import pytest
from barwright.constraints.bench.reading import bench_of, read_bench, read_formula
from barwright.constraints.catalogue import catalogue
from barwright.constraints.market.practice import figure
from barwright.constraints.model.brief import Bench
from barwright.constraints.model.rule import Counted, Kind, Limited, Pick, Rule
from barwright.constraints.rules.acidity import Acidity
from barwright.constraints.rules.cost import Cost
from barwright.constraints.rules.counting import Counting
from barwright.constraints.rules.dose import Dose
from barwright.constraints.rules.mean import Mean
from barwright.constraints.rules.rows import rows_of
from barwright.constraints.rules.share import Share
from barwright.constraints.values.problem import Problem, Problems, SourceKind, Where
from barwright.constraints.values.units import Dimension

GOOD = Path(__file__).parent / "data" / "benches" / "good"
NAMES = ("brief.toml", "shelf.csv", "materials.toml")
TEXTS = {name: (GOOD / name).read_text(encoding="utf-8") for name in NAMES}
Result = TypeVar("Result")


def _fine(read: Result | Problems) -> Result:
    assert not isinstance(read, Problems), read
    return read


def _bench(**changed: tuple[str, str]) -> Bench:
    """The good bench with one text for another in ``brief``, ``shelf`` or ``materials``."""
    files = dict(TEXTS)
    for stem, (old, new) in changed.items():
        name = next(name for name in NAMES if name.startswith(stem))
        assert old in files[name]
        files[name] = files[name].replace(old, new)
    return _fine(bench_of("good", files))


def _rule(bench: Bench, rule_id: str) -> Rule:
    return next(rule for rule in bench.brief.rules if rule.id == rule_id)


def _limits(bench: Bench, rule_id: str) -> tuple[float | None, float | None]:
    rule = _rule(bench, rule_id)
    assert isinstance(rule, Limited)
    return rule.low, rule.high


WHOLE = _bench()


# ---- the brief


def test_the_product_is_read_in_canonical_units() -> None:
    brief = WHOLE.brief
    assert (brief.name, brief.currency, brief.markets) == ("Bar for oily hair", "EUR", ("EU",))
    assert (brief.dilution, brief.room) == (0.1, 21)
    portioning = brief.portioning
    assert (portioning.declared, portioning.drying, portioning.loss) == (0.06, 0.02, 0.015)
    assert (portioning.spread, portioning.washes) == (0.0006, (60, 100))
    assert [balance.name for balance in brief.balances] == ["fine", "coarse"]
    assert brief.balances[0].step == 1e-5


def test_each_rule_keeps_its_limits_and_the_unit_in_which_they_were_written() -> None:
    read = {
        rule.id: (rule.low, rule.high, rule.unit)
        for rule in WHOLE.brief.rules
        if isinstance(rule, Limited)
    }
    assert read["active surfactant"] == (0.4, 0.6, "%")
    assert read["wax to oil"] == (1.2, 3, "")
    assert read["conditioner"] == (0.01, None, "g/kg")
    assert read["benzoate dose"] == (0.003, 0.006, "%")
    assert read["one preservative"] == (1, 1, "")
    assert read["benzoate by hand"] == (None, 0.025, "%")
    assert read["hardness"] == (0.7, None, "%")
    assert read["cost"] == (None, 12.5, "EUR/kg")
    assert read["acidity"] == (4.5, 6, "pH")


def test_each_rule_knows_its_reason_its_kind_and_its_place() -> None:
    rule = _rule(WHOLE, "active surfactant")
    assert (rule.kind, rule.because) == (Kind.PRACTICE, "below this it will not lather")
    assert rule.where == Where("brief.toml", 'line 30, rules."active surfactant"')
    assert rule.source is not None
    assert rule.source.kind is SourceKind.PRACTICE


def test_names_in_rules_find_classes_substances_materials_and_tags() -> None:
    picks = {
        rule.id: (rule.of.pick, rule.of.counted)
        for rule in WHOLE.brief.rules
        if isinstance(rule, Share)
    }
    assert picks["active surfactant"] == (Pick.CLASS, Counted.ACTIVE)
    assert picks["conditioner"] == (Pick.SUBSTANCE, Counted.ACTIVE)
    assert picks["citric acid at most"] == (Pick.MATERIAL, Counted.SUPPLIED)
    assert picks["no palm"] == (Pick.TAG, Counted.SUPPLIED)


def test_a_cost_in_another_currency_is_compared_and_shown_in_the_brief_s_own() -> None:
    rule = _rule(_bench(brief=("12.50 EUR/kg", "10 USD/kg")), "cost")
    assert isinstance(rule, Cost)
    assert rule.high == pytest.approx(9.2)
    assert rule.unit == "EUR/kg"


def test_the_mean_of_a_property_holds_a_figure_for_every_material() -> None:
    rule = _rule(WHOLE, "hardness")
    assert isinstance(rule, Mean)
    assert rule.values.keys() == {item.material.name for item in WHOLE.shelf}
    assert rule.values["corn starch, dried"] == 1
    assert rule.values["sweet almond oil, refined"] == 0
    water = _rule(_bench(brief=('"solid share"\nmin = "70 %"', '"water"\nmax = "9 %"')), "hardness")
    assert isinstance(water, Mean)
    assert water.values["corn starch, dried"] == 0.1


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('share_of = "surfactant"', 'share_of = "class:surfactant"'),
        ('min = "40 %"', 'min = "400 g/kg"'),
        ('min = "40 %"', 'min = "40,0\u00a0%"'),
        ('share_of = "surfactant"', 'share_of = "Surfactant"'),
        ("[rates]", "# a word\n\n[rates]"),
        ("schema = 1\n", "schema = 1\r\n"),
    ],
)
def test_the_same_brief_written_in_other_ways_is_the_same(old: str, new: str) -> None:
    assert _limits(_bench(brief=(old, new)), "active surfactant") == (0.4, 0.6)


def test_a_brief_that_says_nothing_of_it_takes_what_the_trade_takes() -> None:
    room = _bench(brief=('room = "21 °C"\n', "")).brief.room
    assert room == figure("room", Dimension.TEMPERATURE).span.typical


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('min = "10 g/kg"', 'max = "1 %"'),
        ('share_of = "Behentrimonium Methosulfate"\nmin', 'share_of = "Panthenol"\nmax'),
        ('share_of = "citric acid, anhydrous"', 'share_of = "lactic acid, 80 % solution"'),
        ('without = "tag:palm"', 'without = "lactic acid, 80 % solution"'),
        (
            'to = "oil"\ncount = "active"\nmin = 1.2\nmax = 3',
            'to = "butter"\ncount = "active"\nmin = 1',
        ),
    ],
)
def test_an_upper_limit_on_what_the_shelf_has_not_is_harmless(old: str, new: str) -> None:
    assert rows_of(_bench(brief=(old, new))).rows


# ---- rules that come unwritten


def test_what_may_be_chosen_and_has_no_dose_takes_its_usual_one() -> None:
    rule = _rule(WHOLE, "usual dose of phenoxyethanol, 99 %")
    usual = WHOLE.material("phenoxyethanol, 99 %").dose
    assert isinstance(rule, Dose)
    assert rule.kind is Kind.ADVICE
    assert (rule.low, rule.high) == usual
    doses = [rule.material for rule in WHOLE.brief.rules if isinstance(rule, Dose)]
    assert sorted(set(doses)) == sorted(doses)


def test_what_cannot_be_had_is_left_out_for_the_reason_the_shelf_gives() -> None:
    rule = _rule(WHOLE, "sodium phytate, 50 % solution cannot be had")
    assert isinstance(rule, Share)
    assert (rule.kind, rule.because) == (Kind.HOUSE, "back in May")


def test_a_preservative_that_works_only_in_acid_brings_a_rule_of_its_own() -> None:
    rule = _rule(WHOLE, "sodium benzoate, granules works")
    assert isinstance(rule, Acidity)
    assert rule.when == "sodium benzoate, granules"
    assert (rule.low, rule.high) == (None, WHOLE.material(rule.when).works_below_ph)


def test_every_rule_has_a_name_of_its_own() -> None:
    names = [rule.id for rule in WHOLE.brief.rules]
    assert len(set(names)) == len(names)


def test_the_rules_of_a_bench_become_rows() -> None:
    rows = rows_of(WHOLE)
    assert {row.rule for row in rows.rows} >= {rule.id for rule in WHOLE.brief.rules}


def test_a_market_s_limit_holds_for_the_bar_as_sold() -> None:
    """Drying takes water and leaves the preservative: 2.5 % of the bar is 2.45 % of the mix."""
    low, high = _limits(WHOLE, "EU V/1 benzoic acid")
    assert low is None
    assert high == pytest.approx(0.025 * 0.98)
    dry = _bench(brief=('drying = "2 %"', 'drying = "0 %"'))
    assert _limits(dry, "EU V/1 benzoic acid")[1] == 0.025


def test_only_limits_that_name_what_the_shelf_contains_become_rules() -> None:
    laws = [rule for rule in WHOLE.brief.rules if isinstance(rule, Counting)]
    assert {rule.id for rule in laws if rule.kind is Kind.LAW} == {
        "benzoate by hand",
        "EU V/1 benzoic acid",
        "EU V/29 phenoxyethanol",
    }
    assert not _limits_of(_bench(brief=('["EU"]', '["AU"]')))
    assert not _limits_of(_bench(brief=('["EU"]', "[]")))


def _limits_of(bench: Bench) -> list[str]:
    return [rule.id for rule in bench.brief.rules if rule.id.startswith("EU ")]


# ---- the shelf and the maker's own materials


def test_prices_are_turned_into_the_brief_s_currency_for_a_kilogram() -> None:
    assert WHOLE.item("sodium cocoyl isethionate, powder").price == 11.8
    assert WHOLE.item("house conditioner blend, pastilles").price == pytest.approx(
        14.2 * 0.92 / 0.5
    )
    assert WHOLE.item("sodium benzoate, granules").price == pytest.approx(21)


def test_stock_and_availability_are_as_the_shelf_says() -> None:
    assert WHOLE.item("corn starch, dried").stock == 10
    assert WHOLE.item("citric acid, anhydrous").stock is None
    assert not WHOLE.item("sodium phytate, 50 % solution").available
    assert WHOLE.item("citric acid, anhydrous").available
    assert WHOLE.item("corn starch, dried").where == Where("shelf.csv", "line 12")


def _with_commas(text: str) -> str:
    rows = [line.split(";") for line in text.splitlines()]
    return "\n".join(",".join(f'"{f}"' if "," in f else f for f in row) for row in rows)


def _turned(text: str) -> str:
    """The columns in another order, the header in capitals."""
    rows = [line.split(";")[::-1] for line in text.splitlines() if ";" in line]
    return "\n".join(";".join(row) for row in [[one.upper() for one in rows[0]], *rows[1:]])


@pytest.mark.parametrize(
    "shelf",
    [
        TEXTS["shelf.csv"].encode(),
        b"\xef\xbb\xbf" + TEXTS["shelf.csv"].encode(),
        TEXTS["shelf.csv"].replace("\n", "\r\n"),
        TEXTS["shelf.csv"].replace("\n", "\n\n;;;;;\n"),
        TEXTS["shelf.csv"].replace("1 kg", "1000\u00a0g"),
        _with_commas(TEXTS["shelf.csv"]),
        _turned(TEXTS["shelf.csv"]),
    ],
    ids=["plain", "byte-order mark", "line ends", "blank lines", "grams", "commas", "columns"],
)
def test_the_same_shelf_written_in_other_ways_is_the_same(shelf: str | bytes) -> None:
    bench = _fine(bench_of("good", TEXTS | {"shelf.csv": shelf}))
    assert [
        (item.material, item.price, item.pack, item.stock, item.available, item.note)
        for item in bench.shelf
    ] == [
        (item.material, item.price, item.pack, item.stock, item.available, item.note)
        for item in WHOLE.shelf
    ]


def test_a_certificate_overrides_only_what_it_says() -> None:
    name = "sodium cocoyl isethionate, powder"
    own, catalogued = WHOLE.material(name), catalogue.material(name)
    assert own.contents["Sodium Cocoyl Isethionate"].low == 0.83
    assert own.contents.keys() == catalogued.contents.keys()
    assert own.contents["Water"].high == 0.02
    assert sum(span.typical for span in own.contents.values()) == pytest.approx(1, abs=1e-9)
    free = [catalogued.contents[name].typical for name in ("Coconut Acid", "Sodium Chloride")]
    kept = [own.contents[name].typical for name in ("Coconut Acid", "Sodium Chloride")]
    assert kept[0] / kept[1] == pytest.approx(free[0] / free[1])
    assert own.source.kind is SourceKind.CERTIFICATE
    assert (own.form, own.phase, own.heat) == (catalogued.form, catalogued.phase, catalogued.heat)


NEEDLES = "sodium coco-sulfate, needles"


def test_a_share_that_differs_leaves_the_rest_of_a_material_in_it() -> None:
    own = f'["{NEEDLES}"]\ncontents."Sodium Coco-Sulfate" = "93 %"\n\n[substances."House'
    read = _bench(
        shelf=("corn starch", f"{NEEDLES};5 kg;30 EUR;;;\ncorn starch"),
        materials=('[substances."House', own),
    ).material(NEEDLES)
    catalogued = catalogue.material(NEEDLES).contents
    assert read.contents.keys() == catalogued.keys()
    assert read.contents["Sodium Coco-Sulfate"].typical == 0.93
    assert read.contents["Water"].typical == pytest.approx(
        catalogued["Water"].typical * 0.07 / (1 - catalogued["Sodium Coco-Sulfate"].typical)
    )


def test_what_is_said_to_be_none_of_a_material_is_not_in_it() -> None:
    own = f'["{NEEDLES}"]\ncontents."Water" = "0 %"\n\n[substances."House'
    read = _bench(
        shelf=("corn starch", f"{NEEDLES};5 kg;30 EUR;;;\ncorn starch"),
        materials=('[substances."House', own),
    ).material(NEEDLES)
    assert "Water" not in read.contents
    assert sum(span.typical for span in read.contents.values()) == pytest.approx(1, abs=1e-9)


def test_a_maker_s_figure_never_borrows_the_source_of_the_catalogue() -> None:
    more = '["citric acid, anhydrous"]\nadd_below = "60 degC"\n\n[substances."House'
    own = _bench(materials=('[substances."House', more)).material("citric acid, anhydrous")
    assert own.source.citation == "no source given"
    assert own.source.kind is SourceKind.MEMORY


def test_a_material_like_another_starts_from_it_in_whatever_order_they_stand() -> None:
    more = '["a, one"]\nlike = "b, two"\nadd_below = "40 degC"\n'
    more += '["b, two"]\nlike = "glycerin, vegetable"\n'
    shelf = TEXTS["shelf.csv"] + '"a, one";1 kg;1 EUR;;;\n'
    files = TEXTS | {"shelf.csv": shelf, "materials.toml": TEXTS["materials.toml"] + more}
    like = _fine(bench_of("good", files)).material("a, one")
    assert like.contents == catalogue.material("glycerin, vegetable").contents
    assert like.add_below == 40


def test_the_bench_holds_every_substance_that_its_shelf_contains() -> None:
    named = {inci for item in WHOLE.shelf for inci in item.material.contents}
    assert set(WHOLE.substances) == named
    assert WHOLE.substances["House Butterate"].molar_mass == 342.5


def test_a_bench_without_materials_of_its_own_needs_no_file_for_them() -> None:
    files = {name: text for name, text in TEXTS.items() if name != "materials.toml"}
    files["shelf.csv"] = "".join(
        line
        for line in TEXTS["shelf.csv"].splitlines(keepends=True)
        if not line.startswith(("house conditioner", "corn starch, dried"))
    )
    files["brief.toml"] = TEXTS["brief.toml"].replace('min = "10 g/kg"', 'max = "10 g/kg"')
    assert len(_fine(bench_of("plain", files)).shelf) == len(WHOLE.shelf) - 2


# ---- the edge: files and folders


def _copy(folder: Path, **changed: bytes) -> Path:
    for name, text in TEXTS.items():
        (folder / name).write_text(text, encoding="utf-8")
    for stem, content in changed.items():
        name = next(name for name in NAMES if name.startswith(stem))
        (folder / name).write_bytes(content)
    return folder


def _only(read: object) -> Problem:
    assert isinstance(read, Problems), read
    (problem,) = read.items
    return problem


def test_a_bench_is_read_from_its_folder_and_remembers_it() -> None:
    bench = _fine(read_bench(GOOD))
    assert bench.folder == str(GOOD)
    assert bench.shelf == WHOLE.shelf


@pytest.mark.parametrize(
    ("content", "found"),
    [
        (TEXTS["shelf.csv"].encode("utf-16"), "text saved as UTF-16"),
        ("material;pack;price\nh\u00e4rter".encode("latin-1"), "a byte 0xe4 that is not UTF-8"),
        (b"\n \n", "an empty file"),
    ],
)
def test_a_file_that_is_no_text_says_so(tmp_path: Path, content: bytes, found: str) -> None:
    problem = _only(read_bench(_copy(tmp_path, shelf=content)))
    assert (problem.where.file, problem.found) == ("shelf.csv", found)


def test_the_line_of_a_wrong_byte_is_told(tmp_path: Path) -> None:
    problem = _only(read_bench(_copy(tmp_path, shelf=b"material;pack;price\n\xe4")))
    assert problem.where == Where("shelf.csv", "line 2")


def test_files_that_are_not_there_are_all_told(tmp_path: Path) -> None:
    read = read_bench(tmp_path)
    assert isinstance(read, Problems)
    assert [(one.where.file, one.found) for one in read.items] == [
        ("brief.toml", "no such file"),
        ("shelf.csv", "no such file"),
    ]


def test_a_folder_in_place_of_a_file_and_a_file_in_place_of_a_folder_are_told(
    tmp_path: Path,
) -> None:
    bench = _copy(tmp_path)
    (bench / "materials.toml").unlink()
    (bench / "materials.toml").mkdir()
    read = read_bench(bench)
    assert isinstance(read, Problems)
    assert read.items[0] == Problem(Where("materials.toml"), "a folder", "a file")
    assert _only(read_bench(bench / "brief.toml")).found == "a file"
    assert _only(read_bench(bench / "nowhere")).found == "no such folder"
    assert _only(read_formula(bench, WHOLE)).found == "a folder"
    assert _only(read_formula(bench / "nothing.toml", WHOLE)).found == "no such file"


def test_reading_a_bench_loads_no_solver_no_screen_and_no_table_of_units() -> None:
    code = (
        "import sys; from barwright.constraints.bench.reading import read_bench; "
        f"read_bench({str(GOOD)!r}); "
        "print(*{'pint', 'pulp', 'highspy', 'rich', 'typer', 'numpy', 'flint'} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    assert done.stdout == "\n"
