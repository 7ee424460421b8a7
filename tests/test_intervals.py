"""Readings as intervals: what they leave possible holds the truth, and what clashes is named."""

import random
from dataclasses import replace
from itertools import combinations

import pytest
from barwright.constraints.acidity.charge import disperse, equilibrium
from barwright.constraints.bench.readings_reading import Instrument, Readings
from barwright.constraints.model.material import Form, Material, Phase, Span
from barwright.constraints.model.substance import Ionisation, Substance
from barwright.constraints.values.problem import Source, SourceKind, Where
from barwright.solver.calibration.intervals import (
    Bounds,
    agreeing,
    clash,
    fewest_left_out,
    spanned,
)
from barwright.solver.calibration.narrowing import narrowed, possible
from barwright.solver.calibration.titration import Contradiction, Learned, learn
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

BY_HAND = Source("figures of this test", SourceKind.MEASURED)
NONE = Span(0.0, 0.0, 0.0)
MOST = 1.0


def groups(pka=(), ions=(), top=0, *, aggregates=False) -> Ionisation:
    return Ionisation(tuple(pka), top, tuple(ions), aggregates, BY_HAND)


def substance(inci: str, molar_mass: float, ionisation: Ionisation | None) -> Substance:
    return Substance(inci, (), (), molar_mass, ionisation, 0.0, 7.0, "", BY_HAND)


def material(name: str, contents: dict[str, float], alkalinity: Span | None) -> Material:
    spans = {inci: Span(share, share, share) for inci, share in contents.items()}
    form, phase = Form.SOLID, Phase.POWDER
    return Material(
        name, form, phase, (), (), spans, None, None, alkalinity, 0.0, None, None, None, (), BY_HAND
    )


SUBSTANCES = {
    one.inci: one
    for one in (
        substance("Surfactant", 300.0, groups((), (1,), -1, aggregates=True)),
        substance("Fatty Acid", 208.3, groups((7.6,), aggregates=True)),
        substance("Citric Acid", 192.123, groups((3.128, 4.761, 6.396))),
    )
}
CITRIC_ACID = material("citric acid, anhydrous", {"Citric Acid": 1.0}, NONE)
SOLID = material("surfactant, powder", {"Surfactant": 0.9, "Fatty Acid": 0.1}, None)


def true_ph(alkalinity: float, buffer: float, grams: float) -> float:
    """10 g of the solid in 90 g of water with so much citric acid."""
    held = replace(SOLID, alkalinity=Span(*[alkalinity] * 3), buffer=buffer)
    parts = [(held, 0.01), (CITRIC_ACID, grams / 1000)]
    return equilibrium(disperse(parts, SUBSTANCES, 0.09))[0]


def readings(points, instrument=None) -> Readings:
    points = tuple((grams / 1000, ph) for grams, ph in points)
    where = Where("readings.toml")
    instrument = instrument or Instrument("meter", 0.05)
    return Readings(
        SOLID.name, 0.01, 0.09, CITRIC_ACID.name, "2026-11-20", points, where, instrument
    )


def taught(given: Readings):
    return learn([(SOLID, 1.0)], SUBSTANCES, CITRIC_ACID, given)


# ---- The stated interval holds the truth

RUNS = 200
STRIP, METER = Instrument("strip", 0.5), Instrument("meter", 0.05)


def shown_by(instrument: Instrument, ph: float, chance: random.Random) -> float:
    """What an instrument shows: the nearest step, or the pH within what it is right to."""
    if instrument is STRIP:
        return round(ph / instrument.figure) * instrument.figure
    return ph + chance.uniform(-instrument.figure, instrument.figure)


def simulated(instrument: Instrument, run: int, count: int = 10):
    """Ten readings of a random solid, one of them wrong by one to two pH."""
    chance = random.Random(f"{instrument.name} {run} {count}")
    alkalinity, buffer = chance.uniform(-0.005, 0.05), chance.choice((0.0, chance.uniform(0, 0.05)))
    steps = sorted(chance.uniform(0.0, 0.4) for _ in range(count))
    points = [(g, shown_by(instrument, true_ph(alkalinity, buffer, g), chance)) for g in steps]
    wrong = chance.randrange(count)
    grams, ph = points[wrong]
    points[wrong] = grams, ph + chance.choice((-1, 1)) * chance.uniform(1.0, 2.0)
    return alkalinity, buffer, readings(points, instrument)


@pytest.mark.parametrize("instrument", [STRIP, METER], ids=["strip", "meter"])
def test_the_interval_holds_the_truth_in_95_of_100_runs_with_one_wrong_reading_in_ten(instrument):
    held = stated = 0
    for run in range(RUNS):
        alkalinity, _, given = simulated(instrument, run)
        found = taught(given)
        if isinstance(found, Contradiction):
            continue  # it states nothing, and says why
        stated += 1
        held += found.alkalinity.low <= alkalinity <= found.alkalinity.high
    assert stated >= 0.95 * RUNS
    assert held >= 0.95 * RUNS


@pytest.mark.parametrize("instrument", [STRIP, METER], ids=["strip", "meter"])
def test_what_is_stated_holds_the_charge_at_every_ph_that_was_read(instrument):
    """A bar is set near there: base and buffer together have to be right, not each for itself."""
    held = stated = 0
    for run in range(RUNS // 4):
        alkalinity, buffer, given = simulated(instrument, run)
        found = taught(given)
        if isinstance(found, Contradiction):
            continue
        measured = [ph for _, ph in given.points]
        for ph in (min(measured), max(measured)):
            stated += 1
            charge = alkalinity + buffer * (7.0 - ph) - found.buffer * (7.0 - ph)
            held += found.alkalinity.low <= charge <= found.alkalinity.high
    assert held >= 0.95 * stated


def test_readings_without_a_wrong_one_narrow_what_is_known():
    points = [(g, true_ph(0.02, 0.01, g)) for g in (0.0, 0.05, 0.1, 0.15, 0.2)]
    found = taught(readings(points))
    assert isinstance(found, Learned)
    assert not found.clash
    assert found.alkalinity.typical == pytest.approx(0.02, abs=1e-4)
    assert found.alkalinity.low <= 0.02 <= found.alkalinity.high
    assert found.alkalinity.high - found.alkalinity.low < 0.03


# ---- One reading


@pytest.mark.parametrize("instrument", [STRIP, METER], ids=["strip", "meter"])
def test_one_reading_teaches_what_it_can(instrument):
    chance = random.Random(3)
    for _ in range(50):
        alkalinity = chance.uniform(-0.005, 0.05)
        ph = shown_by(instrument, true_ph(alkalinity, 0.0, 0.0), chance)
        given = replace(readings([(0.0, ph)], instrument), added="")
        found = learn([(SOLID, 1.0)], SUBSTANCES, None, given)
        assert isinstance(found, Learned)
        assert not found.buffer_learnt
        assert found.alkalinity.low - 1e-9 <= alkalinity <= found.alkalinity.high + 1e-9


def test_a_strip_read_as_six_says_five_and_three_quarters_to_six_and_a_quarter():
    given = replace(readings([(0.0, 6.0)], STRIP), added="")
    found = learn([(SOLID, 1.0)], SUBSTANCES, None, given)
    assert isinstance(found, Learned)
    assert true_ph(found.alkalinity.low, 0.0, 0.0) == pytest.approx(5.75, abs=1e-6)
    assert true_ph(found.alkalinity.high, 0.0, 0.0) == pytest.approx(6.25, abs=1e-6)


def test_a_buffer_that_is_known_counts_with_one_reading():
    buffered = replace(SOLID, buffer=0.02)
    ph = true_ph(0.01, 0.02, 0.0)
    given = replace(readings([(0.0, ph)]), added="")
    found = learn([(buffered, 1.0)], SUBSTANCES, None, given)
    assert isinstance(found, Learned)
    assert found.buffer == 0.02
    assert found.alkalinity.typical == pytest.approx(0.01, abs=1e-6)


# ---- What cannot be true


def test_two_readings_that_clash_are_refused_and_named():
    given = readings([(0.0, true_ph(0.02, 0.0, 0.0)), (0.0, true_ph(0.02, 0.0, 0.0) - 1.0)])
    found = taught(given)
    assert isinstance(found, Contradiction)
    assert found.clash == (0, 1)
    assert found.left_out == 1


def test_a_ph_that_rises_while_acid_is_added_is_called_what_it_is():
    first, second = true_ph(0.02, 0.0, 0.0), true_ph(0.02, 0.0, 0.1)
    found = taught(readings([(0.0, first), (0.1, second), (0.2, second + 0.3)]))
    assert isinstance(found, Contradiction)
    assert found.clash == (1, 2)
    assert found.against


def test_one_wrong_reading_of_many_is_left_out_and_named():
    points = [(g, true_ph(0.02, 0.0, g)) for g in (0.0, 0.05, 0.1, 0.15, 0.2, 0.25)]
    points[3] = points[3][0], points[3][1] + 1.5
    found = taught(readings(points))
    assert isinstance(found, Learned)
    assert 3 in found.clash
    assert found.against
    assert found.left_out == 1
    assert found.alkalinity.low <= 0.02 <= found.alkalinity.high


# ---- Against another solver and brute force


@st.composite
def bounds(draw) -> list[Bounds]:
    count = draw(st.integers(2, 6))
    found = []
    for _ in range(count):
        ph = draw(st.floats(3.0, 11.0))
        within = draw(st.floats(0.02, 0.5))
        low = draw(st.floats(-0.05, 0.05))
        wide = draw(st.floats(0.0, 0.02))
        found.append(Bounds(low, 7 - ph + within, low + wide, 7 - ph - within))
    return found


def feasible(group, objective=(0.0, 0.0)):
    rows, limits = [], []
    for one in group:
        rows += [[-1.0, -one.low_slope], [1.0, one.high_slope]]
        limits += [-one.low, one.high]
    return linprog(
        objective, A_ub=rows, b_ub=limits, bounds=[(None, None), (0.0, MOST)], method="highs"
    )


@given(bounds())
@settings(max_examples=60, deadline=None)
def test_the_smallest_clash_is_the_smallest_that_a_linear_program_finds(given):
    found = clash(given, MOST)
    by_size = {
        size: [
            g
            for g in combinations(range(len(given)), size)
            if feasible([given[i] for i in g]).status == 2
        ]
        for size in range(2, len(given) + 1)
    }
    smallest = next((groups for groups in by_size.values() if groups), [])
    assert (found in smallest) if smallest else (found == ())
    assert (agreeing(given, MOST) is None) == bool(smallest)


@given(bounds(), st.integers(0, 2), st.floats(0.0, 0.3))
@settings(max_examples=60, deadline=None)
def test_the_ends_are_those_of_linear_programs_over_every_set_that_may_be_right(
    given, left_out, buffer
):
    offsets = (-3.0, 2.0, 0.0)
    ends = []
    for group in combinations(given, max(len(given) - left_out, 1)):
        for offset in offsets:
            for sign in (1.0, -1.0):
                outcome = feasible(group, (sign, sign * offset))
                if outcome.status == 0:
                    base, at = outcome.x
                    ends.append(base + (at - buffer) * offset)
    found = spanned(given, MOST, min(left_out, len(given) - 1), buffer, offsets)
    if not ends:
        assert found is None
        return
    assert found == pytest.approx((min(ends), max(ends)), abs=1e-6)
    least = min(
        len(given) - size
        for size in range(1, len(given) + 1)
        if any(feasible(group).status == 0 for group in combinations(given, size))
    )
    assert fewest_left_out(given, MOST) == least


# ---- A bar


def of(name: str, low: float, typical: float, high: float) -> Material:
    return material(name, {"Surfactant": 1.0}, Span(low, typical, high))


def test_a_reading_of_a_bar_narrows_the_one_that_the_others_cannot_make_up_for():
    # Shares 0.5 and 0.5: A from 0 to 0.02 about 0.01, B from 0 to 0.002 about 0.001. The bar holds
    # 0.004 to 0.0045 more than typical, of which B can bring 0.0005 at most.
    bar = [(of("A", 0.0, 0.01, 0.02), 0.5), (of("B", 0.0, 0.001, 0.002), 0.5)]
    excess = Span(0.004, 0.00425, 0.0045)
    (found,) = narrowed(bar, excess)
    assert found.material == "A"
    assert (found.after.low, found.after.high) == pytest.approx((0.017, 0.02))
    assert possible(bar, excess) == excess


def test_a_reading_of_a_bar_tells_the_one_material_that_was_not_known():
    bar = [(of("A", 0.0, 0.01, 0.02), 0.5), (material("C", {"Surfactant": 1.0}, None), 0.5)]
    found = {one.material: one for one in narrowed(bar, Span(0.004, 0.005, 0.006))}
    assert set(found) == {"C"}
    assert found["C"].before is None
    assert (found["C"].after.low, found["C"].after.high) == pytest.approx((-0.002, 0.022))


def test_two_that_were_not_known_are_told_nothing_of():
    unknown = [(material(name, {"Surfactant": 1.0}, None), 0.5) for name in "CD"]
    assert narrowed(unknown, Span(0.0, 0.001, 0.002)) == ()


def test_a_bar_that_reads_what_its_materials_cannot_bring_is_said_to():
    bar = [(of("A", 0.0, 0.01, 0.02), 0.5), (of("B", 0.0, 0.001, 0.002), 0.5)]
    assert possible(bar, Span(0.02, 0.03, 0.04)) is None


def test_what_a_bar_leaves_of_its_materials_holds_every_lot_that_reads_so():
    chance = random.Random(5)
    bar = [
        (of("A", 0.0, 0.01, 0.05), 0.3),
        (of("B", -0.01, 0.0, 0.02), 0.6),
        (of("C", 0, 0, 0.1), 0.1),
    ]
    excess = Span(0.006, 0.007, 0.008)
    left = {one.material: one.after for one in narrowed(bar, excess)}
    kept = 0
    for _ in range(20000):
        lots = [chance.uniform(one.alkalinity.low, one.alkalinity.high) for one, _ in bar]
        beyond = sum(
            share * (lot - one.alkalinity.typical)
            for (one, share), lot in zip(bar, lots, strict=True)
        )
        if excess.low <= beyond <= excess.high:
            kept += 1
            for (one, _), lot in zip(bar, lots, strict=True):
                if one.name in left:
                    assert left[one.name].low <= lot <= left[one.name].high
    assert kept > 200
    assert left
