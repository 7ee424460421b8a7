"""Using up an old grade: nothing is thrown away, and every bar stays what it is."""

import json
from dataclasses import replace

import pytest
from barwright.constraints.bench.changing import read_start
from barwright.constraints.bench.opening import read_bench
from barwright.constraints.bench.wish import Wish
from barwright.constraints.model.brief import Composition
from barwright.constraints.values.problem import sound
from barwright.solver.cheapest.cheapest import Refusal
from barwright.solver.nearest.distance import Stage, counted
from barwright.workshop.batch.batch import batch
from barwright.workshop.batch.lines import Batch
from barwright.workshop.changing.runout import run_out
from barwright.workshop.fill.fill import strictest
from barwright.workshop.fill.size import batch_mass
from barwright.workshop.weighing.weight import decimal
from hypothesis import given, settings
from hypothesis import strategies as st

OLD, NEW = (f"behentrimonium methosulfate, {grade} % grade" for grade in (25, 50))
PELLETS = "cetearyl alcohol, 50/50, pellets"


@pytest.fixture(scope="module")
def start(request):
    folder = request.config.rootpath / "examples" / "oily-hair"
    return read_start(folder, [folder / "formulas" / "today.toml"], Wish((OLD,), (NEW,)))


def test_the_plan_is_the_one_worked_out_by_hand(start):
    """Stock 2 kg, batches of 9 kg with 6 % of it: 540 g each, 3 batches, 380 g left.

    The mixed batch lacks 540 − 380 = 160 g of the 25 % grade: 40 g of active, which are 80 g of the
    50 % grade. Fatty alcohol lost 160·0.74 = 118.4 g, brought 80·0.48 = 38.4 g: 80 g of pellets.
    """
    plan = run_out(start.bench, start.formulas[0], OLD, 2.0, 9.0)
    assert (plan.whole, plan.each, plan.rest) == (3, 0.54, 0.38)
    grams = {name: share * 9000 for name, share in plan.mixed.composition.parts.items()}
    assert grams[OLD] == pytest.approx(380)
    assert grams[NEW] == pytest.approx(80)
    assert grams[PELLETS] - 9000 * start.formulas[0].parts[PELLETS] == pytest.approx(80)
    assert plan.mixed.touched == (OLD, NEW, PELLETS)
    assert OLD not in plan.after.composition.parts


def test_all_three_bars_hold_as_much_of_the_active(start):
    plan = run_out(start.bench, start.formulas[0], OLD, 2.0, 9.0)
    bars = (start.formulas[0], plan.mixed.composition, plan.after.composition)
    actives = [counted(start.bench, bar, Stage.CLASS)["cationic"] for bar in bars]
    assert actives == pytest.approx([0.015] * 3)


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 400).map(lambda k: k / 100), st.integers(1, 200).map(lambda k: k / 10))
def test_whole_batches_and_the_rest_add_up_to_the_stock(start, stock, batch):
    plan = run_out(start.bench, start.formulas[0], OLD, stock, batch)
    assert plan.whole * plan.each + plan.rest == pytest.approx(stock, abs=1e-12)
    assert 0 <= plan.rest < plan.each
    if plan.weighable and not isinstance(plan.mixed, Refusal):
        assert plan.mixed.composition.parts[OLD] * batch == pytest.approx(plan.rest, abs=1e-9)


def test_a_stock_that_comes_out_even_needs_no_mixed_batch(start):
    plan = run_out(start.bench, start.formulas[0], OLD, 1.62, 9.0)
    assert (plan.whole, plan.rest, plan.mixed) == (3, 0.0, None)


def test_a_rest_that_no_balance_reads_is_not_mixed(start):
    """The finest balance of the bench reads from 0.5 g."""
    plan = run_out(start.bench, start.formulas[0], OLD, 0.5404, 9.0)
    assert plan.rest == pytest.approx(0.0004)
    assert plan.mixed is None
    assert not plan.weighable


def test_a_stock_for_less_than_a_batch_goes_into_one_mixed_batch(start):
    plan = run_out(start.bench, start.formulas[0], OLD, 0.2, 9.0)
    assert plan.whole == 0
    assert plan.mixed.composition.parts[OLD] == pytest.approx(0.2 / 9)


def test_what_is_marked_as_not_available_may_still_be_used_up(start):
    shelf = tuple(replace(item, available=item.material.name != OLD) for item in start.bench.shelf)
    plan = run_out(replace(start.bench, shelf=shelf), start.formulas[0], OLD, 2.0, 9.0)
    assert plan.mixed.composition.parts[OLD] == pytest.approx(0.38 / 9)


@pytest.mark.parametrize(("stock", "batch"), [(1.0, 0.0), (-1.0, 5.0)])
def test_masses_that_make_no_sense_are_our_own_mistake(start, stock, batch):
    with pytest.raises(ValueError, match="in stock"):
        run_out(start.bench, start.formulas[0], OLD, stock, batch)
    with pytest.raises(ValueError, match="in stock"):
        run_out(start.bench, Composition("none", {NEW: 1.0}), OLD, 1.0, 5.0)


def test_runout_and_batch_speak_of_the_same_batch(start):
    """By bars both weigh one mix, in scale steps, and take of a material what a balance shows."""
    bench, formula = start.bench, start.formulas[0]
    fill = sound(strictest(bench, ("EU",), bars=12)).set_to
    size = batch_mass(bench, formula, 12, fill)
    made = batch(read_bench("examples/oily-hair"), formula, 12, fill)
    assert isinstance(made, Batch)
    assert size == made.weighed.batch
    plan = run_out(bench, formula, OLD, 2.0, size)
    weighed = {one.material: one.mass for one in made.weighed.weights}
    assert plan.each == pytest.approx(weighed[OLD], abs=2e-5)
    step = next(one.step for one in made.weighed.weights if one.material == OLD)
    assert (decimal(plan.each) / decimal(step)).denominator == 1


def test_the_command_makes_a_batch_of_bars_as_batch_weighs_it(barwright):
    words = ("examples/oily-hair", "examples/oily-hair/formulas/today.toml")
    sheet = json.loads(barwright("batch", *words, "--bars", "12", "--format", "json").stdout)
    old = ("--old", OLD, "--new", NEW, "--bars", "12")
    plan = json.loads(barwright("runout", *words, *old, "--format", "json").stdout)
    assert plan["batch"] == sheet["mix"]
    price = json.loads(barwright("price", *words, "--bars", "12", "--format", "json").stdout)
    assert price["mix"] == sheet["mix"]
