"""The charge of a mixture falls as its pH rises, and its pH is where that charge is nought."""

from dataclasses import replace
from math import log10

import pytest
from barwright.constraints.acidity.activity import (
    charge_of_substance,
    davies,
    forms,
    mean_charge,
    undissociated_share,
    water_ions,
)
from barwright.constraints.acidity.charge import (
    disperse,
    equilibrium,
    in_water,
    ionic_strength_at,
    ionic_strength_of,
    net_charge,
)
from barwright.constraints.acidity.coefficients import (
    Parts,
    charge_coefficients,
    charge_of_material,
)
from barwright.constraints.acidity.constants import constants
from barwright.constraints.acidity.prediction import bracket, predict
from barwright.constraints.acidity.unknown import alkalinity_of
from barwright.constraints.model.material import Form, Material, Phase, Span
from barwright.constraints.model.substance import Ionisation, Substance
from barwright.constraints.values.problem import Source, SourceKind
from hypothesis import assume, given
from hypothesis import strategies as st

BY_HAND = Source("figures of this test", SourceKind.MEASURED)
NONE = Span(0.0, 0.0, 0.0)


def groups(pka=(), ions=(), top=0, *, aggregates=False) -> Ionisation:
    return Ionisation(tuple(pka), top, tuple(ions), aggregates, BY_HAND)


def substance(inci: str, ionisation: Ionisation | None, molar_mass: float | None) -> Substance:
    return Substance(inci, (), (), molar_mass, ionisation, 0.0, 7.0, "", BY_HAND)


def material(name: str, contents: dict[str, float], alkalinity: Span | None = NONE) -> Material:
    spans = {inci: Span(share, share, share) for inci, share in contents.items()}
    form, phase = Form.SOLID, Phase.POWDER
    return Material(
        name, form, phase, (), (), spans, None, None, alkalinity, 0.0, None, None, None, (), BY_HAND
    )


CITRIC = groups((3.128, 4.761, 6.396))
SUBSTANCES = {
    one.inci: one
    for one in (
        substance("Water", None, 18.015),
        substance("Cetyl Alcohol", None, 242.447),
        substance("Citric Acid", CITRIC, 192.123),
        substance("Sodium Citrate", replace(CITRIC, ions=(1, 1, 1)), 258.069),
        substance("Benzoic Acid", groups((4.204,)), 122.123),
        substance("Sodium Benzoate", groups((4.204,), (1,)), 144.105),
        substance("Lactic Acid", groups((3.86,)), 90.078),
        substance("Sodium Hydroxide", groups((), (1,)), 39.997),
        substance("Hydrogen Chloride", groups((), (-1,)), 36.458),
        substance("Sodium Chloride", groups((), (1, -1)), 58.44),
        substance("Triethanolamine", groups((7.761,), (), 1), 149.19),
        substance("Surfactant", groups((), (1,), -1, aggregates=True), 300.0),
        substance("Soap", groups((9.5,), (1,), aggregates=True), 300.0),
        replace(substance("Protein", None, None), buffer=0.4, neutral_ph=5.0),
    )
}
DRY = {inci: material(f"{inci.lower()}, dry", {inci: 1.0}) for inci in SUBSTANCES}
DILUTION = 0.1


def mix(**shares: float) -> Parts:
    """Shares by the substance's name with underscores; cetyl alcohol makes up the rest."""
    parts = [(DRY[name.replace("_", " ")], share) for name, share in shares.items()]
    return [*parts, (DRY["Cetyl Alcohol"], 1.0 - sum(shares.values()))]


def ph_of(parts: Parts, dilution: float = DILUTION) -> float:
    return predict(parts, SUBSTANCES, dilution).ph


@st.composite
def ionisations(draw):
    pka = sorted(draw(st.lists(st.floats(1.0, 13.0), max_size=4)))
    top = draw(st.integers(0, 2))
    ions = draw(st.lists(st.sampled_from([-1, 1, 2]), max_size=3))
    return groups(pka, ions, top, aggregates=draw(st.booleans()))


@st.composite
def mixes(draw):
    """Parts whose shares add to one, with whatever charge they come to."""
    chosen = draw(st.lists(st.sampled_from(sorted(DRY)), min_size=1, max_size=6, unique=True))
    weights = [draw(st.floats(0.001, 1.0)) for _ in chosen]
    return [
        (DRY[inci], weight / sum(weights)) for inci, weight in zip(chosen, weights, strict=True)
    ]


PHS = st.floats(0.0, 14.0)
STRENGTHS = st.floats(0.0, 0.5)


# Groups.


def test_an_acid_is_half_dissociated_at_its_constant():
    assert mean_charge(groups((4.2,)), 4.2, 0.0) == pytest.approx(-0.5)


def test_a_salt_has_the_same_mean_charge_as_its_acid():
    salt = SUBSTANCES["Sodium Benzoate"].ionisation
    assert mean_charge(salt, 5.0, 0.1) == mean_charge(groups((4.204,)), 5.0, 0.1)


def test_an_amine_carries_a_charge_below_its_constant_and_none_far_above():
    amine = groups((7.761,), top=1)
    assert mean_charge(amine, 3.0, 0.0) == pytest.approx(1.0, abs=1e-4)
    assert mean_charge(amine, 12.0, 0.0) == pytest.approx(0.0, abs=1e-4)


def test_salt_makes_an_acid_stronger_and_leaves_an_amine_weaker():
    strength = 0.1
    assert mean_charge(groups((4.2,)), 4.2 - davies(strength), strength) == pytest.approx(-0.5)
    assert mean_charge(groups((7.8,), top=1), 7.8 + davies(strength), strength) == pytest.approx(
        0.5
    )


def test_each_step_moves_by_the_charges_it_stands_between():
    """At its shifted constant the two forms of a step are there in equal amounts."""
    strength = 0.2
    for step, pka in enumerate(CITRIC.pka):
        shares = forms(CITRIC, pka - (2 * step + 1) * davies(strength), strength)
        assert shares[step] == pytest.approx(shares[step + 1])


def test_an_apparent_constant_is_taken_as_it_was_measured():
    soap = groups((9.5,), (1,), aggregates=True)
    assert mean_charge(soap, 9.5, 0.3) == pytest.approx(-0.5)


@given(ionisations(), PHS, STRENGTHS)
def test_the_forms_of_a_group_add_to_one(ionisation, ph, strength):
    assert sum(forms(ionisation, ph, strength)) == pytest.approx(1.0)


@given(ionisations(), PHS, STRENGTHS)
def test_a_mean_charge_lies_between_its_extremes(ionisation, ph, strength):
    lowest = ionisation.top_charge - len(ionisation.pka)
    assert lowest <= mean_charge(ionisation, ph, strength) <= ionisation.top_charge


def test_little_of_an_acid_preservative_is_left_undissociated_two_steps_above_its_constant():
    benzoic = SUBSTANCES["Benzoic Acid"].ionisation
    assert undissociated_share(benzoic, 6.204, 0.0) == pytest.approx(1 / 101)
    assert undissociated_share(benzoic, 4.204, 0.0) == pytest.approx(0.5)


@pytest.mark.reference
def test_activity_coefficients_are_those_of_the_davies_equation():
    # −log γ = A(√I/(1+√I) − 0.3 I) by hand with A = 0.5092 at I = 0.04: 0.5092·(0.2/1.2 − 0.012)
    assert davies(0.04) == pytest.approx(0.078756, abs=1e-6)
    assert davies(0.0) == 0.0


def test_hydrogen_and_hydroxide_multiply_to_the_ion_product_of_water():
    hydrogen, hydroxide = water_ions(8.0, 0.1)
    assert -log10(hydrogen * hydroxide) == pytest.approx(constants().pkw - 2 * davies(0.1))


# Substances and materials.


def test_a_strong_electrolyte_brings_no_charge_at_any_ph():
    for inci in ("Surfactant", "Sodium Chloride"):
        assert charge_of_substance(SUBSTANCES[inci], 3.0, 0.1) == 0.0


def test_sodium_hydroxide_brings_its_sodium():
    assert charge_of_substance(SUBSTANCES["Sodium Hydroxide"], 9.0, 0.1) == pytest.approx(
        25.002, abs=1e-3
    )


def test_a_protein_takes_up_charge_by_the_ph_step():
    assert charge_of_substance(SUBSTANCES["Protein"], 4.0, 0.1) == pytest.approx(0.4)
    assert charge_of_substance(SUBSTANCES["Protein"], 6.0, 0.1) == pytest.approx(-0.4)


def test_a_substance_that_ionises_needs_a_molar_mass():
    with pytest.raises(ValueError, match="no molar mass"):
        charge_of_substance(substance("Acid", groups((4.0,)), None), 5.0, 0.1)


def test_residual_alkalinity_counts_at_the_end_asked_for():
    washed = material("coco sulfate", {"Surfactant": 1.0}, Span(-0.01, 0.02, 0.05))
    found = [
        charge_of_material(washed, SUBSTANCES, 6.0, 0.1, end) for end in ("low", "typical", "high")
    ]
    assert found == [-0.01, 0.02, 0.05]


def test_a_material_buffer_is_charged_on_both_sides_of_neutral():
    buffered = replace(DRY["Cetyl Alcohol"], buffer=0.1)
    assert charge_of_material(buffered, SUBSTANCES, 5.0, 0.1) == pytest.approx(0.2)
    assert charge_of_material(buffered, SUBSTANCES, 9.0, 0.1) == pytest.approx(-0.2)


# Predictions.


def test_water_alone_is_neutral():
    assert ph_of([(DRY["Water"], 1.0)], 1.0) == pytest.approx(constants().pkw / 2, abs=1e-6)


def test_a_neutral_salt_leaves_water_neutral():
    assert ph_of(mix(Sodium_Chloride=0.3)) == pytest.approx(constants().pkw / 2, abs=1e-6)


def test_acid_and_base_in_equal_amounts_leave_water_neutral():
    shares = {"Sodium_Hydroxide": 0.039997, "Hydrogen_Chloride": 0.036458}
    assert ph_of(mix(**shares)) == pytest.approx(constants().pkw / 2, abs=1e-6)


def test_a_strong_acid_gives_the_ph_of_its_molality():
    parts = disperse([(DRY["Hydrogen Chloride"], 0.036458)], SUBSTANCES, water=1.0)
    ph, strength = equilibrium(parts)
    assert strength == pytest.approx(1.0)
    assert ph == pytest.approx(davies(1.0), abs=1e-6)


def test_a_salt_and_the_acid_with_base_it_is_made_from_are_the_same():
    neutralised = mix(Citric_Acid=0.0192123, Sodium_Hydroxide=3 * 0.0039997)
    assert ph_of(mix(Sodium_Citrate=0.0258069)) == pytest.approx(ph_of(neutralised), abs=1e-9)


def test_aggregated_ions_add_nothing_but_their_counter_ions_to_the_ionic_strength():
    mixed = mix(Surfactant=0.6)
    counter_ions = 0.6 * DILUTION / 0.3 / (1 - DILUTION)
    assert ionic_strength_of(mixed, SUBSTANCES, DILUTION) == pytest.approx(
        counter_ions / 2, rel=1e-5
    )


def test_soap_in_aggregates_adds_its_sodium_alone_to_the_ionic_strength():
    mixed = disperse([(DRY["Soap"], 0.03)], SUBSTANCES, water=1.0)
    assert ionic_strength_at(mixed, 9.5) == pytest.approx(0.05, rel=1e-3)


def test_residual_alkalinity_counts_as_the_lye_it_stands_for():
    washed = material("coco sulfate, needles", {"Surfactant": 1.0}, Span(0.2, 0.2, 0.2))
    plain, lye = DRY["Surfactant"], DRY["Sodium Hydroxide"]
    left = equilibrium(disperse([(washed, 1.0)], SUBSTANCES, water=1.0))
    right = equilibrium(disperse([(plain, 1.0), (lye, 0.2 * 0.039997)], SUBSTANCES, water=1.0))
    assert left == pytest.approx(right, abs=1e-9)


def test_water_in_the_materials_counts_as_water_of_the_dispersion():
    syrup = material("citric acid, 50 % in water", {"Citric Acid": 0.5, "Water": 0.5})
    dry = ph_of([(DRY["Citric Acid"], 0.5), (DRY["Water"], 0.5)])
    assert ph_of([(syrup, 1.0)]) == pytest.approx(dry, abs=1e-9)


def test_the_range_of_a_prediction_spans_its_alkalinities():
    washed = material("coco sulfate", {"Surfactant": 1.0}, Span(0.0, 0.01, 0.03))
    found = predict([(washed, 0.99), (DRY["Citric Acid"], 0.01)], SUBSTANCES, DILUTION)
    assert found.low < found.ph < found.high
    assert found.unknown == ()


def test_an_unknown_alkalinity_widens_the_range_and_is_named_where_it_is_used():
    unknown = material("sulfoacetate, flakes", {"Surfactant": 1.0}, None)
    idle = material("isethionate, powder", {"Surfactant": 1.0}, None)
    parts = [(unknown, 0.99), (idle, 0.0), (DRY["Citric Acid"], 0.01)]
    found = predict(parts, SUBSTANCES, DILUTION)
    assert found.unknown == ("sulfoacetate, flakes",)
    assert found.low < found.ph < found.high


def test_the_known_stay_at_their_typical_figures_where_a_rule_asks_what_the_unknown_may_bring():
    washed = material("coco sulfate", {"Surfactant": 1.0}, Span(-0.2, 0.01, 0.3))
    sour = [(washed, 0.99), (DRY["Citric Acid"], 0.01)]
    known = bracket(sour, SUBSTANCES, DILUTION)
    assert known.low == known.ph == known.high
    clay = replace(material("clay", {"Cetyl Alcohol": 1.0}, None), classes=("clay",))
    open_ended = bracket([*sour[:1], (clay, 0.01)], SUBSTANCES, DILUTION)
    assert open_ended.low < open_ended.ph < open_ended.high


def test_a_material_of_several_classes_may_bring_what_any_of_them_may():
    clay, wax = (
        alkalinity_of(replace(material("m", {"Cetyl Alcohol": 1.0}, None), classes=(name,)))
        for name in ("clay", "wax")
    )
    both = replace(
        material("m", {"Cetyl Alcohol": 1.0}, None), classes=("wax", "humectant", "clay")
    )
    found = alkalinity_of(both)
    assert (found.low, found.high) == (min(clay.low, wax.low), max(clay.high, wax.high))
    assert found.typical == wax.typical
    nameless = alkalinity_of(material("m", {"Cetyl Alcohol": 1.0}, None))
    assert nameless.low <= found.low
    assert nameless.high >= found.high


def test_a_prediction_says_when_there_is_more_salt_than_the_model_is_trusted_for():
    weak = predict(mix(Sodium_Chloride=0.1), SUBSTANCES, DILUTION)
    strong = predict(mix(Sodium_Chloride=0.9), SUBSTANCES, DILUTION)
    assert weak.valid
    assert not strong.valid
    assert strong.ionic_strength == pytest.approx(0.9 * DILUTION / 0.05844 / 0.9, rel=1e-6)


def test_even_a_brine_without_meaning_gets_an_answer_marked_as_outside_the_model():
    wet = [(DRY["Sodium Citrate"], 0.9), (DRY["Citric Acid"], 0.05), (DRY["Water"], 0.05)]
    found = predict(wet, SUBSTANCES, 1.0)
    assert not found.valid
    mixed = in_water(wet, SUBSTANCES, 1.0)
    assert ionic_strength_at(mixed, found.ph) == pytest.approx(found.ionic_strength, rel=1e-5)


def test_a_dispersion_without_water_is_refused():
    with pytest.raises(ValueError, match="needs water"):
        predict([(DRY["Citric Acid"], 1.0)], SUBSTANCES, 1.0)


@pytest.mark.parametrize("dilution", [0.0, -0.1, 1.1])
def test_an_impossible_dilution_is_refused(dilution):
    with pytest.raises(ValueError, match="dilution"):
        predict(mix(Citric_Acid=0.01), SUBSTANCES, dilution)


# What holds for every mix.


@given(mixes(), PHS, st.floats(0.01, 4.0), STRENGTHS)
def test_charge_falls_strictly_as_ph_rises(parts, ph, step, strength):
    mixed = in_water(parts, SUBSTANCES, DILUTION)
    assert net_charge(mixed, ph, strength) > net_charge(mixed, ph + step, strength)


@given(mixes())
def test_charge_is_nought_at_the_predicted_ph(parts):
    mixed = in_water(parts, SUBSTANCES, DILUTION)
    ph, strength = equilibrium(mixed)
    assert net_charge(mixed, ph - 1e-6, strength) > 0 > net_charge(mixed, ph + 1e-6, strength)


@given(mixes())
def test_the_ionic_strength_of_a_prediction_is_the_one_it_makes(parts):
    mixed = in_water(parts, SUBSTANCES, DILUTION)
    ph, strength = equilibrium(mixed)
    assert ionic_strength_at(mixed, ph) == pytest.approx(strength, rel=1e-6, abs=1e-10)


@given(mixes(), PHS, STRENGTHS, st.floats(0.02, 0.5))
def test_the_charge_is_linear_in_the_shares(parts, ph, strength, dilution):
    materials = [one for one, _ in parts]
    row = charge_coefficients(materials, SUBSTANCES, ph, dilution, ionic_strength=strength)
    charge = sum(value * share for value, (_, share) in zip(row, parts, strict=True))
    whole = net_charge(in_water(parts, SUBSTANCES, dilution), ph, strength)
    assert charge == pytest.approx(whole, rel=1e-9, abs=1e-12)


@given(mixes(), st.floats(2.0, 12.0))
def test_a_ph_limit_is_a_charge_row(parts, limit):
    """At the ionic strength of the mix: pH ≥ lo ⇔ Q(lo) ≥ 0, and pH ≤ hi ⇔ Q(hi) ≤ 0."""
    ph, strength = equilibrium(in_water(parts, SUBSTANCES, DILUTION))
    assume(abs(ph - limit) > 1e-6)
    materials = [one for one, _ in parts]
    row = charge_coefficients(materials, SUBSTANCES, limit, DILUTION, ionic_strength=strength)
    charge = sum(value * share for value, (_, share) in zip(row, parts, strict=True))
    assert (ph >= limit) == (charge >= 0)
    assert (ph <= limit) == (charge <= 0)


@given(
    mixes(),
    st.sampled_from(["Citric Acid", "Lactic Acid", "Hydrogen Chloride"]),
    st.floats(0.0, 0.05),
)
def test_acid_never_raises_a_ph(parts, acid, amount):
    before, _ = equilibrium(in_water(parts, SUBSTANCES, DILUTION))
    with_acid = disperse(
        [*((one, DILUTION * share) for one, share in parts), (DRY[acid], amount * DILUTION)],
        SUBSTANCES,
        water=1.0 - DILUTION,
    )
    assert equilibrium(with_acid)[0] <= before + 1e-9


@given(
    st.sampled_from(["Hydrogen Chloride", "Sodium Hydroxide"]),
    st.floats(1e-6, 0.05),
    st.floats(1.01, 20.0),
)
def test_water_moves_a_strong_acid_or_base_towards_neutral(strong, mass, more):
    neutral = constants().pkw / 2
    near, _ = equilibrium(disperse([(DRY[strong], mass)], SUBSTANCES, water=more))
    far, _ = equilibrium(disperse([(DRY[strong], mass)], SUBSTANCES, water=1.0))
    assert abs(near - neutral) < abs(far - neutral)
    assert (near - neutral) * (far - neutral) > 0


@given(mixes(), st.randoms(use_true_random=False))
def test_the_order_of_the_parts_does_not_matter(parts, chance):
    shuffled = list(parts)
    chance.shuffle(shuffled)
    # Sums of rounded figures differ in their last digits, which an unbuffered water shows.
    assert ph_of(shuffled) == pytest.approx(ph_of(parts), abs=1e-6)
