"""Bounds over a cell of pH and ionic strength hold at every point inside it, to the last digit."""

import random
from fractions import Fraction

import pytest
from acid_benches import DILUTION, IONISE, material, substance
from barwright.constraints.acidity.cell import Cell, davies_span, widest
from barwright.constraints.acidity.coefficients import charge_coefficients
from barwright.constraints.acidity.constants import constants
from barwright.constraints.acidity.span import charge_span, rounded, salt_span, water_in_dispersion
from flint import arb, ctx
from hypothesis import given
from hypothesis import strategies as st

SUBSTANCES = {inci: substance(inci) for inci in IONISE}
SHELF = [
    material(inci, {inci: 0.7, "Sodium Chloride": 0.1, "Water": 0.2}, alkalinity)
    for inci in IONISE
    if inci not in {"Water", "Sodium Chloride"}
    for alkalinity in (0.0, -0.03)
]


@pytest.fixture(autouse=True)
def many_digits():
    before, ctx.prec = ctx.prec, 200
    yield
    ctx.prec = before


def cells():
    ph, salt = st.floats(0.0, 14.0), st.floats(0.0, 0.5)
    pair = st.tuples
    return st.builds(
        lambda p, s: Cell((min(p), max(p)), (min(s), max(s))), pair(ph, ph), pair(salt, salt)
    )


def exact_f(strength):
    known = constants()
    root = arb(strength).sqrt()
    return arb(known.davies_a) * (root / (1 + root) - arb(known.davies_b) * arb(strength))


def exact_balances(one, ph, strength):
    """Charge and Σ c·z² of a kilogram of dispersion, form by form, in ball arithmetic."""
    f, ten = exact_f(strength), arb(10)
    hydrogen = ten ** (f - arb(ph))
    hydroxide = ten ** (f + arb(ph) - arb(constants().pkw))
    wet = 1 - arb(DILUTION) + arb(DILUTION) * arb(one.contents["Water"].typical)
    base = arb(one.alkalinity.typical)
    charge, squares = base, abs(base)
    for inci, span in one.contents.items():
        mass, groups = IONISE[inci]
        if groups is None:
            continue
        moles = arb(span.typical) * 1000 / arb(mass)
        weights, z = [arb(1)], groups.top_charge
        for pka in groups.pka:
            shift = arb(0) if groups.aggregates else f * (1 - 2 * z)
            weights.append(weights[-1] * ten ** (arb(ph) - arb(pka) + shift))
            z -= 1
        total = sum(weights, arb(0))
        charges = [groups.top_charge - lost for lost in range(len(weights))]
        mean = sum((w * z for w, z in zip(weights, charges, strict=True)), arb(0)) / total
        square = sum((w * z * z for w, z in zip(weights, charges, strict=True)), arb(0)) / total
        charge += moles * (mean + sum(groups.ions))
        own = arb(0) if groups.aggregates else square
        squares += moles * (own + sum(ion * ion for ion in groups.ions))
    dilution = arb(DILUTION)
    return (
        dilution * charge + wet * (hydrogen - hydroxide),
        dilution * squares + wet * (hydrogen + hydroxide),
    )


def inside(cell, number):
    """Points of a cell, its corners among them."""
    draw = random.Random(number)
    for _ in range(3):
        yield draw.uniform(*cell.ph), draw.uniform(*cell.salt)
    yield from ((p, i) for p in cell.ph for i in cell.salt)


@pytest.mark.reference
@given(cells(), st.sampled_from(SHELF), st.integers(0, 10**6))
def test_no_point_of_a_cell_lies_outside_its_bounds_in_ball_arithmetic(cell, one, number):
    """Held to Arb's ball arithmetic of 200 bits, which bounds its own errors."""
    ((least, most),) = salt_span([one], SUBSTANCES, DILUTION, cell)
    for ph, strength in inside(cell, number):
        charge, squares = exact_balances(one, ph, strength)
        ((low, high),) = charge_span([one], SUBSTANCES, ph, DILUTION, cell.salt)
        assert arb(low) <= charge <= arb(high)
        assert arb(least) <= squares <= arb(most)


@given(cells(), st.floats(0.0, 1.0))
def test_f_lies_within_its_span(cell, part):
    low, high = davies_span(cell.salt)
    strength = cell.salt[0] + part * (cell.salt[1] - cell.salt[0])
    strength = min(max(strength, cell.salt[0]), cell.salt[1])
    assert arb(low) <= exact_f(strength) <= arb(high)


@given(st.floats(0.0, 14.0), st.floats(0.0, 0.5))
def test_a_cell_of_one_point_gives_the_coefficients_there(ph, strength):
    spans = charge_span(SHELF, SUBSTANCES, ph, DILUTION, (strength, strength))
    there = charge_coefficients(SHELF, SUBSTANCES, ph, DILUTION, strength)
    for (low, high), value in zip(spans, there, strict=True):
        assert low <= value <= high
        assert high - low <= 1e-10 * max(1.0, abs(value))


FIGURES = st.floats(1e-12, 1e6) | st.floats(-1e6, -1e-12) | st.just(0.0)


@given(st.lists(FIGURES, min_size=1), st.booleans())
def test_rounding_outward_never_goes_inward_and_leaves_few_digits(values, up):
    found = rounded(values, up=up)
    largest = max(map(abs, values))
    for one, value in zip(found, values, strict=True):
        written = Fraction(repr(one))
        assert (written >= Fraction(value)) if up else (written <= Fraction(value))
        assert abs(written - Fraction(value)) <= Fraction(largest) * Fraction(1, 10**9)


def test_halving_a_cell_leaves_nothing_out():
    waiting = [widest()]
    for _ in range(200):
        cell = waiting.pop(0)
        low, high = cell.halves
        assert (low.ph[0], low.salt[0]) == (cell.ph[0], cell.salt[0])
        assert (high.ph[1], high.salt[1]) == (cell.ph[1], cell.salt[1])
        assert (low.ph[1] == high.ph[0]) != (low.salt[1] == high.salt[0] and low.ph == high.ph)
        waiting += [low, high]


def test_water_counts_as_it_does_in_the_charge():
    wet = water_in_dispersion(SHELF[0], DILUTION)
    assert wet == pytest.approx(1 - DILUTION + DILUTION * 0.2)
