"""Replacing as a formulator does: ten things that happen to a shelf, each with few changes."""

import shutil
from itertools import combinations

import pytest
from barwright.constraints.bench.changing import read_start
from barwright.constraints.bench.wish import Wish
from barwright.constraints.model.brief import Composition
from barwright.solver.nearest.distance import TOUCHED, Stage, distance
from barwright.solver.nearest.family import family
from barwright.solver.nearest.nearest import kept_out, nearest
from barwright.workshop.changing.comparison import Again
from barwright.workshop.changing.replacing import NoReplacement, replaced, usual_nearly
from blends import bench, material, share_of

NEEDLES, POWDER = (f"sodium coco-sulfate, {form}" for form in ("needles", "powder"))
SOLUTION, DRY = (f"cocamidopropyl betaine, {kind}" for kind in ("30 % solution", "80 % powder"))
OLD, NEW = (f"behentrimonium methosulfate, {grade} % grade" for grade in (25, 50))
PELLETS = "cetearyl alcohol, 50/50, pellets"
BENZOATE = "sodium benzoate and potassium sorbate, 50/50 powder"
GLDA = "tetrasodium glutamate diacetate, 47 % solution"

TEN = {
    "anionic gone": Wish(("sodium cocoyl isethionate, powder",)),
    "quat gone": Wish(avoid=("tag:quat",)),
    "preservative gone": Wish((BENZOATE,)),
    "chelant gone": Wish((GLDA,)),
    "palm-free": Wish(avoid=("tag:palm",)),
    "sulfate-free": Wish(avoid=("tag:sulfate",)),
    "needles to powder": Wish((NEEDLES,), (POWDER,)),
    "betaine solution to powder": Wish((SOLUTION,), (DRY,)),
    "stronger grade": Wish((OLD,), (NEW,)),
    "dearer fatty alcohol": Wish(),
}
FEW = 4


def started(root, folder, wish, *, dearer=False):
    """The start of a change on the example bench for oily hair with more on its shelf."""
    shutil.copytree(root / "examples", folder, dirs_exist_ok=True)
    lines = (root / "tests/data/enlarged/more.csv").read_text().splitlines()[2:]
    shelf = folder / "shelf.csv"
    there = shelf.read_text()
    if dearer:
        there = there.replace("1 kg;8.90 EUR", "1 kg;28.90 EUR").replace("36.00 EUR", "140.00 EUR")
    shelf.write_text(there + "\n".join(lines) + "\n")
    bench = folder / "oily-hair"
    return read_start(bench, [bench / "formulas/today.toml"], wish)


@pytest.mark.parametrize("asked", TEN)
def test_a_replacement_touches_few_materials_or_says_which_rule_forces_more(asked, root, tmp_path):
    start = started(root, tmp_path, TEN[asked], dearer=asked.startswith("dearer"))
    found = replaced(start, nearly=usual_nearly())
    if isinstance(found, NoReplacement):
        assert found.in_the_way
        return
    near, before = found.near, start.formulas[0].parts
    assert near.sensible
    assert (len(near.touched) <= FEW) is (found.forced is None)
    assert all(verdict.kept for verdict in near.verdicts)
    assert found.cheapest.cost <= near.cost + 1e-9
    assert found.nearest.apart[Stage.CLASS] <= near.apart[Stage.CLASS] + TOUCHED
    for name, share in near.composition.parts.items():
        dose = start.bench.material(name).dose
        assert dose is None or share <= max(dose[1], before.get(name, 0.0)) + TOUCHED
        assert name in before or share >= 1e-3 - TOUCHED


def test_rules_said_to_force_more_changes_do_so_and_no_fewer_of_them_do(root, tmp_path):
    start = started(root, tmp_path, TEN["palm-free"])
    bench, formula = start.bench, start.formulas[0]
    found = replaced(start, nearly=usual_nearly())
    said = found.forced
    assert len(found.near.touched) == said.fewest > FEW
    assert set(said.going) == kept_out(bench) & formula.parts.keys()
    # what goes changes, and something has to come in for it
    assert said.without == len(said.going) + 1
    for left in (said.rules, *combinations(said.rules, len(said.rules) - 1)):
        others = [rule for rule in bench.brief.rules if rule.id not in left]
        near = nearest(bench.with_only(others), formula, nearly=usual_nearly())
        assert (len(near.touched) <= said.without) is (left == said.rules)


def test_what_is_asked_to_come_in_does_where_few_changes_do_for_it(root, tmp_path):
    start = started(root, tmp_path, TEN["betaine solution to powder"])
    near = nearest(start.bench, start.formulas[0], nearly=usual_nearly(), wanted=start.wanted)
    assert DRY in near.composition.parts
    assert len(near.touched) <= FEW


def test_a_family_takes_what_is_asked_to_come_in_before_a_stranger(root, tmp_path):
    start = started(root, tmp_path, TEN["betaine solution to powder"])
    bars = (*start.formulas, Composition("again", start.formulas[0].parts))
    bases = family(start.bench, bars, wanted=start.wanted, nearly=usual_nearly()).bases
    assert all(DRY in bar.composition.parts for base in bases for bar in base.bars)


def test_a_change_that_is_not_sensible_says_so():
    made = material("a", {"S": 1.0}), material("b", {"T": 1.0}, dose=(0.0, 0.2))
    rules = [share_of("T", low=0.5)]
    on_shelf = bench(made, [1.0, 1.0], rules, {"S": ("surfactant",), "T": ("wax",)})
    near = nearest(on_shelf, Composition("today", {"a": 1.0}), nearly=usual_nearly())
    assert not near.sensible
    assert near.composition.parts == pytest.approx({"a": 0.5, "b": 0.5})


def test_a_mixture_of_chains_counts_as_its_chains(root, tmp_path):
    start = started(root, tmp_path, Wish())
    mixed = Composition("mixed", {PELLETS: 1.0})
    apart = {f"{name} alcohol, pellets": 0.5 for name in ("cetyl", "stearyl")}
    found = distance(start.bench, mixed, Composition("apart", apart), Stage.SUBSTANCE)
    assert found < 0.01  # but for the traces of others in each


def test_a_mixture_that_tells_of_no_chains_counts_as_one_on_the_shelf_that_does(root, tmp_path):
    start = started(root, tmp_path, TEN["stronger grade"])
    near = nearest(start.bench, start.formulas[0], nearly=usual_nearly(), wanted=start.wanted)
    # by hand: half of 0.02 of isopropyl alcohol less and of 0.03 of butylene glycol more, at 6 %
    assert near.changed[Stage.SUBSTANCE] == pytest.approx(0.0009, abs=2e-4)


def test_what_is_nearest_by_contents_is_told_only_where_it_is_another(root):
    bench = root / "examples" / "oily-hair"
    start = read_start(bench, [bench / "formulas/today.toml"], TEN["stronger grade"])
    found = replaced(start, nearly=usual_nearly())
    assert found.nearest is None
    assert found.cheapest is not None


def test_powder_takes_the_place_of_needles_and_nothing_else_moves(root, tmp_path):
    start = started(root, tmp_path, TEN["needles to powder"])
    found = replaced(start, nearly=usual_nearly())
    assert found.near.touched == (NEEDLES, POWDER)
    assert found.nearest is not None  # by what it contains something else is nearer by a hair
    assert found.near.composition.parts[POWDER] == pytest.approx(0.15)
    due = {one.what: one.touched for one in found.comparison.due}
    assert due[Again.WORKING] == ("powder for needles",)


def test_a_rule_that_names_what_is_gone_is_said_to_stand_in_the_way(root, tmp_path):
    found = replaced(started(root, tmp_path, TEN["chelant gone"]), nearly=usual_nearly())
    assert found.in_the_way == ("chelant",)
    assert any("EDTA" in one.material or "gluta" in one.material for one in found.search.best)


def test_avoiding_a_tag_also_avoids_the_class_of_that_name(root, tmp_path):
    start = started(root, tmp_path, Wish(avoid=("tag:quat",)))
    classes = {one.material.name for one in start.bench.shelf if "quat" in one.material.classes}
    assert classes <= kept_out(start.bench)


def test_what_arrives_with_a_newcomer_is_announced(root, tmp_path):
    wheat = "hydrolyzed wheat protein, 25 % solution"
    rice = "hydrolyzed rice protein, powder"
    found = replaced(started(root, tmp_path, Wish((rice,), (wheat,))), nearly=usual_nearly())
    assert "gluten" in found.comparison.arriving


def test_rules_that_force_many_changes_on_bars_with_one_base_are_named():
    names = "abcdef"
    made = tuple(material(name, {name.upper(): 1.0}) for name in names)
    rules = [share_of(name.upper(), high=0.1, rule_id=f"little {name}") for name in names[:-1]]
    on_shelf = bench(made, [1.0] * len(names), rules, {name.upper(): ("wax",) for name in names})
    today = {name: 1 / len(names) for name in names}
    bars = Composition("one", today), Composition("two", {**today, "a": 0.2, "f": 2 / 6 - 0.2})
    (base,) = family(on_shelf, bars, nearly=usual_nearly()).bases
    assert all(len(bar.touched) == len(names) for bar in base.bars)
    assert (base.forced.fewest, base.forced.without) == (len(names), FEW)
    assert len(base.forced.rules) == 2
