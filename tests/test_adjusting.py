"""What pulls a pH up and down, and the amount of acid or base that brings it where it should be."""

from dataclasses import replace

import pytest
from barwright.constraints.acidity.activity import water_ions
from barwright.constraints.acidity.adjusting import (
    Obstacle,
    acid_to_amine,
    adjusted,
    adjusters,
    dose_for,
    pulls,
    titration_curve,
)
from barwright.constraints.acidity.charge import in_water
from barwright.constraints.acidity.prediction import predict
from barwright.constraints.model.material import Form, Material, Phase, Span
from barwright.constraints.model.substance import Ionisation, Substance
from barwright.constraints.values.problem import Source, SourceKind
from hypothesis import assume, given, settings
from hypothesis import strategies as st

BY_HAND = Source("figures of this test", SourceKind.MEASURED)
DILUTION = 0.1


def substance(
    inci: str, classes: tuple[str, ...], molar_mass: float, ionisation: Ionisation | None
) -> Substance:
    return Substance(inci, classes, (), molar_mass, ionisation, 0.0, 7.0, "", BY_HAND)


def groups(pka=(), ions=(), top=0, *, aggregates=False) -> Ionisation:
    return Ionisation(tuple(pka), top, tuple(ions), aggregates, BY_HAND)


def material(name: str, contents: dict[str, float], alkalinity: float = 0.0) -> Material:
    spans = {inci: Span(share, share, share) for inci, share in contents.items()}
    form, phase, base = Form.SOLID, Phase.POWDER, Span(alkalinity, alkalinity, alkalinity)
    return Material(
        name, form, phase, (), (), spans, None, None, base, 0.0, None, None, None, (), BY_HAND
    )


CITRIC = groups((3.128, 4.761, 6.396))
SUBSTANCES = {
    one.inci: one
    for one in (
        substance("Water", ("water",), 18.015, None),
        substance("Surfactant", ("surfactant",), 300.0, groups((), (1,), -1, aggregates=True)),
        substance("Citric Acid", ("acid",), 192.123, CITRIC),
        substance("Sodium Citrate", ("buffer salt",), 258.069, replace(CITRIC, ions=(1, 1, 1))),
        substance("Sorbic Acid", ("preservative", "acid"), 112.128, groups((4.76,))),
        substance("Sodium Hydroxide", ("base",), 39.997, groups((), (1,))),
        substance("Amidoamine", ("amidoamine",), 368.65, groups((9.3,), top=1, aggregates=True)),
    )
}
SULFATE = material("coco sulfate, needles", {"Surfactant": 1.0}, alkalinity=0.03)
CITRIC_ACID = material("citric acid, anhydrous", {"Citric Acid": 1.0})
CITRATE = material("sodium citrate, anhydrous", {"Sodium Citrate": 1.0})
SORBIC_ACID = material("sorbic acid, powder", {"Sorbic Acid": 1.0})
LYE = material("sodium hydroxide, 25 % in water", {"Sodium Hydroxide": 0.25, "Water": 0.75})
AMINE = material("amidoamine, flakes", {"Amidoamine": 1.0})
BAR = [(SULFATE, 0.95), (CITRIC_ACID, 0.01), (AMINE, 0.04)]


def ph_of(parts) -> float:
    return predict(parts, SUBSTANCES, DILUTION).ph


def the_dose(target, candidate, parts=BAR):
    (found,) = dose_for(parts, SUBSTANCES, DILUTION, target, [candidate])
    return found


@pytest.mark.parametrize("target", [3.5, 4.5, 5.0, 6.0])
def test_a_dose_of_acid_brings_the_bar_to_its_target(target):
    dose = the_dose(target, CITRIC_ACID)
    assert ph_of(adjusted(BAR, CITRIC_ACID, dose.amount)) == pytest.approx(target, abs=1e-6)


def test_a_dose_of_lye_brings_the_bar_to_its_target():
    dose = the_dose(10.5, LYE)
    assert ph_of(adjusted(BAR, LYE, dose.amount)) == pytest.approx(10.5, abs=1e-6)


@given(st.floats(2.5, 12.5), st.sampled_from([CITRIC_ACID, CITRATE, SORBIC_ACID, LYE]))
@settings(max_examples=40)
def test_a_dose_either_reaches_the_target_or_says_why_not(target, candidate):
    dose = the_dose(target, candidate)
    assert (dose.amount is None) == (dose.obstacle is not None)
    if dose.amount is not None:
        assert ph_of(adjusted(BAR, candidate, dose.amount)) == pytest.approx(target, abs=1e-5)


def test_a_material_that_pulls_the_other_way_is_named_as_such():
    assert the_dose(5.0, LYE).obstacle is Obstacle.AWAY
    assert the_dose(9.5, CITRIC_ACID).obstacle is Obstacle.AWAY


def test_a_weak_acid_cannot_reach_the_ph_of_a_strong_one():
    assert the_dose(2.0, SORBIC_ACID).obstacle is Obstacle.WEAK


def test_nothing_is_needed_where_the_ph_is_right_already():
    assert the_dose(ph_of(BAR), CITRIC_ACID).obstacle is Obstacle.THERE


def test_a_dose_is_for_a_bar_in_water():
    with pytest.raises(ValueError, match="dilution"):
        dose_for(BAR, SUBSTANCES, 1.0, 5.0, [CITRIC_ACID])


def test_the_materials_to_adjust_with_are_known_by_what_they_are_there_for():
    preserved = material(
        "protein, 20 % in water", {"Water": 0.79, "Surfactant": 0.2, "Citric Acid": 0.01}
    )
    shelf = [SULFATE, CITRIC_ACID, CITRATE, LYE, AMINE, preserved]
    assert adjusters(shelf, SUBSTANCES) == (CITRIC_ACID, CITRATE, LYE)


def test_what_is_added_joins_what_is_there_and_the_shares_again_add_to_one():
    parts = adjusted(BAR, CITRIC_ACID, 0.25)
    assert [one.name for one, _ in parts] == [one.name for one, _ in BAR]
    assert [share for _, share in parts] == pytest.approx([0.76, 0.208, 0.032])
    assert sum(share for _, share in adjusted(BAR, LYE, 0.1)) == pytest.approx(1.0)


def test_a_titration_curve_falls_from_the_bar_as_it_is_through_the_dose():
    dose = the_dose(5.0, CITRIC_ACID).amount
    amounts = [0.0, dose / 2, dose, 2 * dose]
    curve = titration_curve(BAR, SUBSTANCES, DILUTION, CITRIC_ACID, amounts)
    found = [ph for _, ph in curve]
    assert [amount for amount, _ in curve] == amounts
    assert found[0] == pytest.approx(ph_of(BAR), abs=1e-9)
    assert found[2] == pytest.approx(5.0, abs=1e-6)
    assert found == sorted(found, reverse=True)


@given(st.lists(st.floats(0.01, 1.0), min_size=5, max_size=5))
def test_the_pulls_and_the_ions_of_water_balance(weights):
    materials = [SULFATE, CITRIC_ACID, CITRATE, LYE, AMINE]
    parts = [(one, weight / sum(weights)) for one, weight in zip(materials, weights, strict=True)]
    found = predict(parts, SUBSTANCES, DILUTION)
    assume(found.valid)
    pulled = sum(pull for _, pull in pulls(parts, SUBSTANCES, found.ph, found.ionic_strength))
    hydrogen, hydroxide = water_ions(found.ph, found.ionic_strength)
    water = in_water(parts, SUBSTANCES, DILUTION).water
    assert DILUTION * pulled + water * (hydrogen - hydroxide) == pytest.approx(0.0, abs=1e-9)


def test_acid_pulls_down_and_alkalinity_pulls_up():
    pulled = dict(pulls(BAR, SUBSTANCES, 5.0, 0.1))
    assert pulled["citric acid, anhydrous"] < 0 < pulled["amidoamine, flakes"]
    assert pulled["coco sulfate, needles"] == pytest.approx(0.95 * 0.03)


def test_acid_is_counted_for_each_amidoamine_as_far_as_it_has_given_up_protons():
    """Half-way through the second step citric acid has given up one proton and a half."""
    moles = {"citric": 0.5, "amine": 0.5}
    mass = moles["citric"] * 0.192123 + moles["amine"] * 0.36865
    parts = [(CITRIC_ACID, 0.5 * 0.192123 / mass), (AMINE, 0.5 * 0.36865 / mass)]
    assert acid_to_amine(parts, SUBSTANCES, 4.761, 0.0) == pytest.approx(1.5, abs=0.01)


def test_a_bar_without_an_amidoamine_has_no_such_figure():
    assert acid_to_amine([(SULFATE, 0.9), (CITRIC_ACID, 0.1)], SUBSTANCES, 5.0, 0.1) is None
