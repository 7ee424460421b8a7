"""Replacing as a formulator does: ten things that happen to a shelf, each with few changes."""

import shutil

import pytest
from barwright.constraints.bench.changing import read_start
from barwright.constraints.bench.wish import Wish
from barwright.solver.nearest.distance import TOUCHED, Stage
from barwright.solver.nearest.nearest import kept_out
from barwright.workshop.changing.comparison import Again
from barwright.workshop.changing.replacing import NoReplacement, replaced, usual_nearly

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
    assert found.in_the_way or len(found.near.touched) <= FEW
    if isinstance(found, NoReplacement):
        return
    near, before = found.near, start.formulas[0].parts
    assert all(verdict.kept for verdict in near.verdicts)
    assert found.cheapest.cost <= near.cost + 1e-9
    assert found.nearest.apart[Stage.CLASS] <= near.apart[Stage.CLASS] + TOUCHED
    for name, share in near.composition.parts.items():
        dose = start.bench.material(name).dose
        assert dose is None or share <= max(dose[1], before.get(name, 0.0)) + TOUCHED
        assert name in before or share >= 1e-3 - TOUCHED


def test_powder_takes_the_place_of_needles_and_nothing_else_moves(root, tmp_path):
    start = started(root, tmp_path, TEN["needles to powder"])
    found = replaced(start, nearly=usual_nearly())
    assert found.near.touched == (NEEDLES, POWDER)
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
