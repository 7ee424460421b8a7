"""From a reading at the bench to what to add to that batch."""

import json
from dataclasses import replace

import pytest
from barwright import cheapest, read_bench, read_formula, surely
from barwright.constraints.acidity.adjusting import Obstacle, adjusted
from barwright.constraints.acidity.charge import equilibrium, in_water
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.material import Span
from barwright.workshop.acid.correcting import corrected, corrections

ACID = "citric acid, anhydrous"
MADE = "examples/oily-hair", "examples/oily-hair/formulas/today.toml"


@pytest.fixture(scope="module")
def oily(root):
    return read_bench(root / "examples/oily-hair")


@pytest.fixture(scope="module")
def today(oily, root):
    return read_formula(root / "examples/oily-hair/formulas/today.toml", oily)


def lot(parts, name, more):
    """The same bar with more base in one of its materials than anyone knew [mol/kg]."""
    return [
        (replace(one, alkalinity=Span(*(one.alkalinity.typical + more,) * 3)), share)
        if one.name == name
        else (one, share)
        for one, share in parts
    ]


def test_a_lot_with_more_base_is_brought_to_the_middle_of_the_band_by_what_it_reads(oily, today):
    """The true lot is known to the test alone; only its reading is told."""
    parts = lot(oily.parts_of(today), "sodium cocoyl isethionate, powder", 0.03)
    reads, _ = equilibrium(in_water(parts, oily.substances, 0.1))
    assert reads > 5.6
    found = corrected(oily, today, ACID, reads, 100.0)
    assert found.amount > 0
    after = adjusted(parts, oily.material(ACID), found.amount / 100.0)
    ph, _ = equilibrium(in_water(after, oily.substances, 0.1))
    assert ph == pytest.approx(5.25, abs=0.005)
    assert found.ph == pytest.approx(ph, abs=0.005)


def test_a_batch_that_reads_in_its_band_needs_nothing(oily, today):
    found = corrected(oily, today, ACID, 5.2, 0.75)
    assert (found.amount, found.ph) == (0.0, 5.2)


def test_an_acid_raises_no_ph(oily, today):
    found = corrected(oily, today, ACID, 4.6, 0.75)
    assert found.amount is None
    assert found.obstacle is Obstacle.AWAY


def test_what_is_added_is_in_steps_of_the_balance_and_rises_with_the_reading(oily, today):
    found = [corrected(oily, today, ACID, 5.6 + 0.2 * step, 0.75) for step in range(5)]
    amounts = [one.amount for one in found]
    assert amounts == sorted(amounts)
    step = min(balance.step for balance in oily.brief.balances)
    assert all(amount / step == pytest.approx(round(amount / step)) for amount in amounts)


def test_a_rule_that_would_break_is_named(oily):
    """The cheapest stands at its limits, so that whatever thins it breaks one of them."""
    found = corrected(oily, cheapest(oily).composition, ACID, 6.2, 10.0)
    assert found.limited_by is not None
    assert found.room == 0.0
    assert found.amount > 0.0


def test_a_composition_that_leans_on_a_correction_has_room_for_it(oily):
    sure = surely(oily, draws=100)
    made = sure.finding.composition
    for reads in (5.6, 5.9):
        found = corrected(oily, made, ACID, reads, 10.0)
        assert found.limited_by is None or found.room >= 10.0 * sure.correction.most - 1e-5


def test_the_table_covers_what_the_lots_may_read(oily, today):
    found = corrections(oily, today, ACID, 0.75)
    assert [one.reads for one in found] == sorted(one.reads for one in found)
    assert found[0].reads > 5.5
    assert found[-1].reads > 6.0


def test_a_brief_without_a_band_has_nowhere_to_go(oily, today):
    rules = tuple(rule for rule in oily.brief.rules if not rule.corrected)
    bare = replace(oily, brief=replace(oily.brief, rules=rules))
    with pytest.raises(ValueError, match="a rule on pH"):
        corrections(bare, Composition("x", dict(today.parts)), ACID, 1.0)


def test_the_command_answers_for_one_reading(barwright):
    done = barwright("acidity", *MADE, "--reads", "6.2", "--batch", "750g")
    assert done.returncode == 0, done.stderr
    assert "reads pH 6.20: add" in done.stdout
    assert "never replaces a measured one" in " ".join(done.stdout.split())
    form = json.loads(
        barwright("acidity", *MADE, "--reads", "6.2", "--batch", "750g", "--format", "json").stdout
    )
    assert form["correction"]["amount"] > 0
    assert form["batch"] == 0.75


def test_a_batch_without_a_reading_is_refused(barwright):
    done = barwright("acidity", *MADE, "--batch", "750g")
    assert done.returncode == 2
    assert "--reads" in done.stderr


def test_the_sheet_says_what_to_add(barwright):
    form = json.loads(barwright("batch", *MADE, "--bars", "12", "--format", "json").stdout)
    assert form["corrections"]
    assert {one["material"] for one in form["corrections"]} == {ACID}
