"""A bench is a value: read once, changed only by making another."""

import os
import subprocess
import sys
from collections import Counter
from dataclasses import replace

import pytest
from barwright.constraints.bench.changing import borne_by, with_free, with_materials, with_stores
from barwright.constraints.bench.learning import Lesson, with_lesson, write_lesson
from barwright.constraints.bench.reading import bench_of, read_bench
from barwright.constraints.bench.readings_reading import Readings
from barwright.constraints.model.brief import Bench
from barwright.constraints.model.material import Span
from barwright.constraints.model.shelf import Item
from barwright.constraints.values.problem import Problems, Where
from blends import share_of, standalone

NEW = "candelilla wax, pellets"


@pytest.fixture(scope="module")
def oily(tmp_path_factory) -> Bench:
    bench = read_bench(standalone(tmp_path_factory.mktemp("oily")))
    assert isinstance(bench, Bench)
    return bench


COUNTING = """
import os, sys
opened = []
def heard(event, args):
    if event == "open" and isinstance(args[0], str):
        opened.append(os.path.realpath(args[0]))
sys.addaudithook(heard)
sys.argv[1:] = {words!r}
try:
    from barwright.cli.kit.entry import main
    main()
except SystemExit:
    pass
print(*opened, sep="\\n", file=sys.stderr)
"""


def opened_by(*words, cwd):
    """How often each file of a folder was opened by one command."""
    code = COUNTING.format(words=list(words))
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=cwd, capture_output=True, text=True, check=True
    )
    inside = os.path.realpath(cwd) + os.sep
    named = (line.removeprefix(inside) for line in done.stderr.splitlines() if inside in line)
    return Counter(named)


SULFATE = "sodium coco-sulfate, needles"
TODAY = "oily-hair/formulas/today.toml"
COMMANDS = {
    "cheapest": ("cheapest", "oily-hair"),
    "refused": ("cheapest", "poor"),
    "check": ("check", "oily-hair", TODAY),
    "curve": ("curve", "oily-hair", "--limit", "protein"),
    "replace": ("replace", "oily-hair", TODAY, "--without", SULFATE, "--look"),
    "no replacement": ("replace", "poor", TODAY, "--without", SULFATE),
    "runout": (
        *("runout", "oily-hair", TODAY, "--old", "behentrimonium methosulfate, 25 % grade"),
        *("--new", "behentrimonium methosulfate, 50 % grade", "--batch", "10 kg"),
    ),
    "acidity": ("acidity", "oily-hair", TODAY),
    "learning": (
        *("acidity", "oily-hair", TODAY),
        *("--readings", "oily-hair/readings/coco-sulfate.toml"),
    ),
    "batch": ("batch", "oily-hair", TODAY, "--bars", "12"),
    "fill": ("fill", "oily-hair"),
    "price": ("price", "oily-hair", TODAY, "--bars", "12"),
    "label": ("label", "oily-hair", TODAY),
}


@pytest.fixture(scope="module")
def folders(examples, tmp_path_factory):
    """The example bench, and one whose cap on cost nothing keeps."""
    here = tmp_path_factory.mktemp("benches")
    for name in ("oily-hair", "poor"):
        standalone(here / name)
    brief = here / "poor" / "brief.toml"
    text = brief.read_text("utf-8").replace("10.80 EUR/kg", "5 EUR/kg")
    brief.write_text(text, "utf-8")
    return here


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_opens_each_file_once(name, folders):
    counts = opened_by(*COMMANDS[name], cwd=folders)
    assert any(file.endswith("shelf.csv") for file in counts)
    assert set(counts.values()) == {1}, counts


def test_what_is_read_again_is_what_was_read(oily):
    assert with_materials(oily, ()) == oily
    assert with_stores(oily, oily.written.files["materials.toml"]) == oily


def item(bench, name, price):
    return Item(bench.stores.material(name), price, 1.0, None, True, "", Where("test"))


def test_a_bench_with_a_material_is_the_bench_with_a_line_more_on_its_shelf(oily):
    line = f"{NEW};1 kg;9.40 EUR;;yes;\n".encode()
    files = dict(oily.written.files)
    longer = bench_of(oily.folder, {**files, "shelf.csv": files["shelf.csv"] + line})
    wide = with_materials(oily, (item(oily, NEW, 9.40),))
    assert wide.brief == longer.brief
    assert wide.substances == longer.substances
    assert wide.prices == pytest.approx(longer.prices)
    assert wide.material_names == longer.material_names
    assert NEW not in oily.material_names


def test_changes_can_follow_one_another_in_either_order(oily):
    rule = share_of("Glycerin", high=0.03, rule_id="little glycerin")
    one = with_materials(oily.with_rules((rule,)).with_price(SULFATE, 7.0), (item(oily, NEW, 9.0),))
    other = with_materials(oily, (item(oily, NEW, 9.0),)).with_price(SULFATE, 7.0)
    assert one == other.with_rules((rule,))


def test_limits_moved_and_rules_given_up_stay_so_on_a_wider_shelf(oily):
    rules = tuple(
        replace(rule, low=0.3) if rule.id == "active surfactant" else rule
        for rule in oily.brief.rules
        if rule.id != "cost"
    )
    eased = replace(oily, brief=replace(oily.brief, rules=rules))
    wide = with_free(eased, (NEW,))
    named = {rule.id: rule for rule in wide.brief.rules}
    assert "cost" not in named
    assert named["active surfactant"].low == 0.3
    assert NEW in named["solid share"].values


def test_a_preservative_put_on_the_shelf_brings_its_rules(oily):
    files = dict(oily.written.files)
    gone = b"sodium benzoate and potassium sorbate, 50/50 powder"
    shelf = b"\n".join(row for row in files["shelf.csv"].split(b"\n") if gone not in row)
    brief = files["brief.toml"].replace(b'    "' + gone + b'",\n', b"")
    less = bench_of("less", {**files, "shelf.csv": shelf, "brief.toml": brief})
    assert isinstance(less, Bench)
    wide = with_free(less, (gone.decode(),))
    added = {rule.id for rule in wide.brief.rules} - {rule.id for rule in less.brief.rules}
    assert f"{gone.decode()} works" in added


def test_a_price_and_a_stock_are_changed_in_a_bench_of_its_own(oily):
    dear = oily.with_price(SULFATE, 70.0).with_stock(SULFATE, 0.4)
    assert (dear.item(SULFATE).price, dear.item(SULFATE).stock) == (70.0, 0.4)
    assert (oily.item(SULFATE).price, oily.item(SULFATE).stock) == (6.8, 5.0)
    with pytest.raises(KeyError):
        oily.with_price("moonlight", 1.0)


def test_a_lesson_makes_the_bench_that_is_read_once_it_is_written(oily, examples, tmp_path):

    folder = standalone(tmp_path / "bench")
    points = ((0.0, 10.0), (1e-4, 6.0), (2e-4, 4.0))
    acid = "citric acid, anhydrous"
    readings = Readings(SULFATE, 0.1, 0.9, acid, "2026-11-20", points, Where("a.toml"))
    lesson = Lesson(SULFATE, Span(0.01, 0.02, 0.03), 0.002, readings)
    before = read_bench(folder)
    assert write_lesson(folder, lesson) is None
    assert with_lesson(before, lesson) == read_bench(folder)


DENSE = """schema = 1
[product]
name = "bar"
currency = "EUR"
[rules."density"]
mean_of = "density"
min = "0.8 kg/L"
kind = "house"
because = "it has to fit its mould"
"""


def test_a_material_of_which_a_needed_figure_is_not_known_is_left_out_of_a_search(oily):
    materials = """["heavy"]
form = "solid"
phase = "powder"
classes = []
contents."Kaolin" = "100 %"
density = "2 kg/L"
source = "test"
["vague"]
form = "solid"
phase = "powder"
classes = []
contents."Kaolin" = "100 %"
source = "test"
"""
    shelf = "material,pack,price\nheavy,1 kg,1 EUR\n"
    files = {"brief.toml": DENSE, "shelf.csv": shelf, "materials.toml": materials}
    bench = bench_of("dense", files)
    assert isinstance(bench, Bench), bench
    assert isinstance(with_free(bench, ("vague",)), Problems)
    names, wide = borne_by(bench, ("vague", "cocoa butter, deodorised"))
    assert names == ("cocoa butter, deodorised",)
    assert "vague" not in wide.material_names


def test_a_bench_shows_itself_without_its_files(oily):
    assert "files=" not in repr(oily)
