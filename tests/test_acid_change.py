"""More or less of an acid moves a bar where it is said to move it, and an account adds up."""

from dataclasses import replace

import pytest
from barwright.constraints.acidity.activity import water_ions
from barwright.constraints.acidity.adjusting import Obstacle, adjusted
from barwright.constraints.acidity.prediction import predict
from barwright.constraints.bench.reading import read_bench, read_formula
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.material import Span
from barwright.constraints.model.rule import Kind
from barwright.constraints.model.verdict import within
from barwright.constraints.rules.acidity import band_of
from barwright.workshop.acid.account import UNKNOWN_STEP, account_of
from barwright.workshop.acid.answer import acidity
from barwright.workshop.acid.change import (
    amounts_of_step,
    by_a_hair,
    changed,
    changes_for,
    curve_of,
    newly_broken,
)
from hypothesis import given, settings
from hypothesis import strategies as st

CITRIC, LACTIC = "citric acid, anhydrous", "lactic acid, 80 % solution"
CHELANT = "tetrasodium glutamate diacetate, 47 % solution"


@pytest.fixture(scope="module")
def bench(examples):
    return read_bench(examples / "oily-hair")


@pytest.fixture(scope="module")
def bar(examples, bench):
    return read_formula(examples / "oily-hair" / "formulas" / "today.toml", bench)


def ph_of(bench, composition):
    return predict(bench.parts_of(composition), bench.substances, bench.brief.dilution).ph


def change_of(bench, composition, target, name):
    parts = bench.parts_of(composition)
    (found,) = changes_for(
        parts, bench.substances, bench.brief.dilution, target, [bench.material(name)]
    )
    return found


@given(st.floats(4.2, 6.2))
@settings(max_examples=20, deadline=None)
def test_a_change_brings_the_bar_to_its_target_upwards_and_downwards(bench, bar, target):
    found = change_of(bench, bar, target, CITRIC)
    after = changed(bar, CITRIC, found.amount)
    assert ph_of(bench, after) == pytest.approx(target, abs=1e-4)
    assert sum(after.parts.values()) == pytest.approx(1.0)
    assert (found.amount < 0) == (target > ph_of(bench, bar))


def test_no_more_acid_is_left_out_than_there_is(bench, bar):
    without = ph_of(bench, changed(bar, CITRIC, -bar.parts[CITRIC]))
    assert change_of(bench, bar, without - 0.01, CITRIC).amount >= -bar.parts[CITRIC]
    assert change_of(bench, bar, without + 0.01, CITRIC).obstacle is Obstacle.AWAY


def test_what_is_not_in_the_bar_cannot_be_left_out(bench, bar):
    assert change_of(bench, bar, 5.8, LACTIC).obstacle is Obstacle.AWAY


def test_a_chelant_keeps_its_place_though_it_is_a_base(bench, bar):
    assert change_of(bench, bar, 5.0, CHELANT).obstacle is Obstacle.AWAY


@pytest.mark.parametrize("step", [-0.1, 0.1, -0.5])
def test_a_step_of_ph_in_grams_of_the_acid_in_use_is_that_step(bench, bar, step):
    (found,) = amounts_of_step(bench, bar, step)
    assert found.material == CITRIC
    after = ph_of(bench, changed(bar, CITRIC, found.amount))
    assert after - ph_of(bench, bar) == pytest.approx(step, abs=1e-4)


def test_a_bar_without_acid_or_base_has_no_step_in_grams(bench, bar):
    parts = {name: share for name, share in bar.parts.items() if name != CITRIC}
    whole = sum(parts.values())
    plain = Composition("plain", {name: share / whole for name, share in parts.items()})
    assert amounts_of_step(bench, plain, -0.1) == ()


def test_the_curve_starts_without_the_acid_and_passes_the_bar_as_it_is(bench, bar):
    parts = bench.parts_of(bar)
    curve = curve_of(parts, bench.substances, bench.brief.dilution, bench.material(CITRIC), 4.8)
    phs = [ph for _, ph in curve]
    assert phs == sorted(phs, reverse=True)
    assert curve[0] == (0.0, pytest.approx(ph_of(bench, changed(bar, CITRIC, -0.0015)), abs=1e-4))
    for amount, ph in curve[1::15]:
        direct = changed(bar, CITRIC, amount - bar.parts[CITRIC])
        assert ph == pytest.approx(ph_of(bench, direct), abs=1e-9)
    needed = bar.parts[CITRIC] + change_of(bench, bar, 4.8, CITRIC).amount
    assert curve[-1][0] == pytest.approx(2 * needed)


def test_a_curve_with_nothing_to_aim_at_shows_a_whole_ph(bench, bar):
    parts = bench.parts_of(bar)
    acid = bench.material(LACTIC)
    curve = curve_of(parts, bench.substances, bench.brief.dilution, acid, None)
    assert curve[0][1] - curve[-1][1] >= 0.99


def test_the_account_balances_at_the_predicted_ph(bench, bar):
    account = account_of(bench.parts_of(bar), bench.substances, bench.brief.dilution)
    found = account.prediction
    hydrogen, hydroxide = water_ions(found.ph, found.ionic_strength)
    water = 0.9 + 0.1 * sum(
        share * one.contents["Water"].typical
        for one, share in bench.parts_of(bar)
        if "Water" in one.contents
    )
    pulled = sum(one.pull for one in account.pulls)
    assert 0.1 * pulled + water * (hydrogen - hydroxide) == pytest.approx(0.0, abs=1e-9)
    assert [one.pull for one in account.pulls] == sorted(one.pull for one in account.pulls)


def test_without_what_pulls_down_the_ph_is_higher_and_the_other_way_round(bench, bar):
    account = account_of(bench.parts_of(bar), bench.substances, bench.brief.dilution)
    strong = [one for one in account.pulls if abs(one.pull) > 1e-3]
    assert len(strong) >= 3
    for one in strong:
        assert (one.ph_without > account.prediction.ph) == (one.pull < 0)


def test_a_tenth_of_a_ph_of_base_is_what_lye_would_do(bench, bar):
    """The base is laid on a material's residual alkalinity, which is strong base by definition."""
    account = account_of(bench.parts_of(bar), bench.substances, bench.brief.dilution)
    name = "kaolin, white"
    share = bar.parts[name]
    based = [
        (
            replace(one, alkalinity=Span(0, account.hold / share, 1)) if one.name == name else one,
            part,
        )
        for one, part in bench.parts_of(bar)
    ]
    moved = predict(based, bench.substances, bench.brief.dilution).ph
    assert moved - account.prediction.ph == pytest.approx(0.1, abs=0.005)


def test_each_end_of_what_is_known_moves_the_ph_by_itself(bench, bar):
    account = account_of(bench.parts_of(bar), bench.substances, bench.brief.dilution)
    found = account.prediction
    for one in account.pulls:
        low, high = one.ends
        assert found.low - 1e-9 <= low <= found.ph + 1e-9
        assert found.ph - 1e-9 <= high <= found.high + 1e-9


def test_what_is_not_known_is_tried_and_named(bench, bar):
    name = "sodium coco-sulfate, needles"
    parts = [
        (replace(one, alkalinity=None) if one.name == name else one, share)
        for one, share in bench.parts_of(bar)
    ]
    account = account_of(parts, bench.substances, bench.brief.dilution)
    (unknown,) = [one for one in account.pulls if not one.known]
    assert account.prediction.unknown == (name,)
    assert unknown.ends[0] == pytest.approx(account.prediction.ph)
    tried = [
        (replace(one, alkalinity=Span(*[UNKNOWN_STEP] * 3)) if one.name == name else one, share)
        for one, share in parts
    ]
    assert unknown.ends[1] == pytest.approx(
        predict(tried, bench.substances, bench.brief.dilution).ph
    )


def test_the_acid_form_of_a_preservative_follows_its_constant(bench, bar):
    """Henderson and Hasselbalch at the concentration-scale constant: half at pH = pKa′."""
    account = account_of(bench.parts_of(bar), bench.substances, bench.brief.dilution)
    by_name = {one.substance: one for one in account.preserving}
    assert set(by_name) == {"Sodium Benzoate", "Potassium Sorbate"}
    for name, pka in (("Sodium Benzoate", 4.204), ("Potassium Sorbate", 4.76)):
        plain = 1 / (1 + 10 ** (account.prediction.ph - pka))
        assert by_name[name].undissociated == pytest.approx(plain, rel=0.25)
        assert by_name[name].undissociated < plain  # salt in the water favours the ion


def test_a_change_names_the_rules_it_would_break(bench, bar):
    much = changed(bar, CITRIC, -0.0009)
    assert "acidity" in {verdict.rule.id for verdict in newly_broken(bench, bar, much)}
    assert newly_broken(bench, bar, bar) == ()


def test_a_limit_missed_by_less_than_a_scale_shows_is_told_apart_and_a_law_never(bench):
    rule = next(one for one in bench.brief.rules if one.id == "starch and clay")
    law = replace(rule, kind=Kind.LAW)
    at = {by: within(rule, rule.high * (1 + by)) for by in (0.004, 0.006)}
    assert by_a_hair(at[0.004])
    assert not by_a_hair(at[0.006])
    assert not by_a_hair(within(law, law.high * 1.004))


def test_without_an_aim_the_answer_aims_at_the_middle_of_the_band(bench, bar):
    answer = acidity(bench, bar)
    assert (answer.target, answer.asked) == (5.25, False)
    assert answer.band == band_of(bench.brief)
    assert answer.titrant == CITRIC
    by_name = {dose.change.material: dose for dose in answer.doses}
    assert by_name[CITRIC].breaks == ()
    assert by_name[CITRIC].change == change_of(bench, bar, 5.25, CITRIC)


def test_without_a_band_and_an_aim_there_is_nothing_to_dose_for(bench, bar):
    free = replace(bench, brief=replace(bench.brief, rules=()))
    answer = acidity(free, bar)
    assert (answer.target, answer.doses, answer.band) == (None, (), None)
    assert answer.curve


def test_an_acid_that_cannot_be_had_is_not_proposed(bench, bar):
    shelf = tuple(replace(item, available=item.material.name != LACTIC) for item in bench.shelf)
    answer = acidity(replace(bench, shelf=shelf), bar, 5.0)
    assert LACTIC not in {dose.change.material for dose in answer.doses}


def test_changing_by_nothing_changes_nothing(bench, bar):
    assert changed(bar, CITRIC, 0.0) == bar
    parts = bench.parts_of(bar)
    assert adjusted(parts, bench.material(CITRIC), 0.0) == list(parts)
