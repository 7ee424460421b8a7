"""Readings at the bench give back the alkalinity and the buffer that made them."""

import random
from dataclasses import replace

import pytest
from barwright.constraints.acidity.charge import disperse, equilibrium
from barwright.constraints.bench.readings_reading import Instrument, Readings
from barwright.constraints.bench.readings_reading import readings_of as readings_in
from barwright.constraints.model.material import Form, Material, Phase, Span
from barwright.constraints.model.substance import Ionisation, Substance
from barwright.constraints.values.problem import Problems, Source, SourceKind, Where
from barwright.solver.calibration.titration import Learned, learn
from hypothesis import given, settings
from hypothesis import strategies as st

BY_HAND = Source("figures of this test", SourceKind.MEASURED)


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


NONE = Span(0.0, 0.0, 0.0)
SUBSTANCES = {
    one.inci: one
    for one in (
        substance("Surfactant", 300.0, groups((), (1,), -1, aggregates=True)),
        substance("Citric Acid", 192.123, groups((3.128, 4.761, 6.396))),
        substance("Sodium Benzoate", 144.105, groups((4.204,), (1,))),
    )
}
SULFATE = material("coco sulfate, needles", {"Surfactant": 1.0}, None)
CITRIC_ACID = material("citric acid, anhydrous", {"Citric Acid": 1.0}, NONE)
BENZOATE = material("sodium benzoate, granules", {"Sodium Benzoate": 1.0}, NONE)
STEPS_G = (0.0, 0.01, 0.02, 0.04, 0.07, 0.1, 0.15)


def known(one: Material, alkalinity: float, buffer: float) -> Material:
    return replace(one, alkalinity=Span(alkalinity, alkalinity, alkalinity), buffer=buffer)


def readings_of(parts, steps_g=STEPS_G, sample_g=10.0, water_g=90.0) -> Readings:
    """What a perfect electrode would read of a sample with everything known."""
    points = []
    for step in steps_g:
        masses = [(one, share * sample_g / 1000) for one, share in parts]
        mixed = disperse([*masses, (CITRIC_ACID, step / 1000)], SUBSTANCES, water_g / 1000)
        points.append((step / 1000, equilibrium(mixed)[0]))
    where = Where("readings.toml")
    name = parts[0][0].name
    grams = sample_g / 1000, water_g / 1000
    return Readings(name, *grams, CITRIC_ACID.name, "2026-11-20", tuple(points), where)


def shifted(readings: Readings, *offsets: float) -> Readings:
    points = [
        (mass, ph + offset) for (mass, ph), offset in zip(readings.points, offsets, strict=True)
    ]
    return replace(readings, points=tuple(points))


@given(st.floats(0.005, 0.1), st.floats(0.0, 0.05))
@settings(max_examples=25, deadline=None)
def test_perfect_readings_give_back_what_made_them(alkalinity, buffer):
    readings = readings_of([(known(SULFATE, alkalinity, buffer), 1.0)])
    found = learn([(SULFATE, 1.0)], SUBSTANCES, CITRIC_ACID, readings)
    assert isinstance(found, Learned)
    assert found.alkalinity.typical == pytest.approx(alkalinity, abs=1e-6)
    assert found.buffer == pytest.approx(buffer, abs=1e-6)
    assert found.ph_misfits == pytest.approx([0.0] * len(STEPS_G), abs=1e-3)
    assert found.valid


def test_residual_acid_is_learnt_as_negative_alkalinity():
    readings = readings_of([(known(SULFATE, -0.004, 0.03), 1.0)])
    found = learn([(SULFATE, 1.0)], SUBSTANCES, CITRIC_ACID, readings)
    assert found.alkalinity.typical == pytest.approx(-0.004, abs=1e-7)


def test_what_a_single_material_was_thought_to_hold_is_left_aside():
    readings = readings_of([(known(SULFATE, 0.03, 0.01), 1.0)])
    fresh = learn([(SULFATE, 1.0)], SUBSTANCES, CITRIC_ACID, readings)
    assert learn([(known(SULFATE, 0.5, 0.2), 1.0)], SUBSTANCES, CITRIC_ACID, readings) == fresh


def test_a_bar_is_learnt_on_top_of_what_its_materials_are_known_to_hold():
    benzoate, rest = (BENZOATE, 0.01), 0.99
    readings = readings_of([(known(SULFATE, 0.05, 0.02), rest), benzoate])
    bar = [(known(SULFATE, 0.02, 0.0), rest), benzoate]
    found = learn(bar, SUBSTANCES, CITRIC_ACID, readings)
    assert found.alkalinity.typical == pytest.approx(rest * 0.03, abs=1e-6)
    assert found.buffer == pytest.approx(rest * 0.02, abs=1e-6)


def test_one_wrong_reading_does_not_bend_the_fit_and_shows_in_the_misfits():
    readings = readings_of([(known(SULFATE, 0.03, 0.01), 1.0)])
    wrong = shifted(readings, 0, 0, 0, 0.6, 0, 0, 0)
    found = learn([(SULFATE, 1.0)], SUBSTANCES, CITRIC_ACID, wrong)
    assert found.alkalinity.typical == pytest.approx(0.03, abs=1e-6)
    assert found.buffer == pytest.approx(0.01, abs=1e-6)
    assert found.ph_misfits[3] == pytest.approx(-0.6, abs=1e-3)
    assert found.alkalinity.low <= 0.03 <= found.alkalinity.high
    assert 3 in found.clash
    assert found.left_out == 1


def test_an_electrode_that_wavers_moves_the_fit_little():
    chance = random.Random(1)
    readings = readings_of([(known(SULFATE, 0.03, 0.02), 1.0)])
    wavering = shifted(readings, *(chance.uniform(-0.03, 0.03) for _ in STEPS_G))
    found = learn([(SULFATE, 1.0)], SUBSTANCES, CITRIC_ACID, wavering)
    assert found.alkalinity.typical == pytest.approx(0.03, abs=0.002)
    assert found.alkalinity.low <= found.alkalinity.typical <= found.alkalinity.high
    assert max(map(abs, found.ph_misfits)) < 0.2


def test_a_buffer_is_never_negative():
    readings = readings_of([(known(SULFATE, 0.03, 0.0), 1.0)])
    steeper = shifted(readings, 0.4, 0.2, 0.1, 0, -0.1, -0.2, -0.3)
    roughly = replace(steeper, instrument=Instrument("strip", 1.0))
    found = learn([(SULFATE, 1.0)], SUBSTANCES, CITRIC_ACID, roughly)
    assert isinstance(found, Learned)
    assert found.buffer >= 0.0


def test_the_misfit_in_charge_is_the_least_there_is():
    """No nearby alkalinity or buffer has a smaller sum of misfits."""
    chance = random.Random(2)
    readings = readings_of([(known(SULFATE, 0.03, 0.02), 1.0)])
    wavering = shifted(readings, *(chance.uniform(-0.05, 0.05) for _ in STEPS_G))
    found = learn([(SULFATE, 1.0)], SUBSTANCES, CITRIC_ACID, wavering)
    phs = [ph for _, ph in wavering.points]
    least = sum(map(abs, found.charge_misfits))
    for base, buffer in (
        (1e-4, 0),
        (-1e-4, 0),
        (0, 1e-4),
        (0, -1e-4),
        (1e-4, -5e-5),
        (-1e-4, 5e-5),
    ):
        moved = [
            misfit + base + buffer * (7.0 - ph)
            for misfit, ph in zip(found.charge_misfits, phs, strict=True)
        ]
        assert sum(map(abs, moved)) >= least - 1e-9


@pytest.mark.parametrize("steps_g", [(0.0, 0.05), (0.05, 0.05, 0.05, 0.0501)])
def test_readings_that_tell_no_buffer_teach_the_base_with_the_buffer_that_is_known(steps_g):
    sulfate = known(SULFATE, 0.03, 0.01)
    readings = readings_of([(sulfate, 1.0)], steps_g=steps_g)
    found = learn([(sulfate, 1.0)], SUBSTANCES, CITRIC_ACID, readings)
    assert isinstance(found, Learned)
    assert not found.buffer_learnt
    assert found.buffer == 0.01
    assert found.alkalinity.typical == pytest.approx(0.03, abs=1e-6)


# The file of readings.

GOOD = """
schema = 1
of = "coco sulfate, needles"
sample = "10 g"
water = "90 g"
added = "citric acid, anhydrous"
date = "2026-11-20"
points = [["0 g", 8.9], ["100 mg", "6,4"], ["0.15 g", 5]]
"""
NAMES = ("coco sulfate, needles", "citric acid, anhydrous", "Bar for oily hair")


def read(text: str) -> Readings | Problems:
    return readings_in("readings.toml", text, NAMES, NAMES[:2])


def test_a_file_of_readings_is_read_in_kilograms():
    found = read(GOOD)
    assert isinstance(found, Readings)
    assert (found.of, found.added, found.date) == (*NAMES[:2], "2026-11-20")
    assert (found.sample, found.water) == (0.01, 0.09)
    assert found.points == ((0.0, 8.9), (1e-4, 6.4), (1.5e-4, 5.0))


def test_a_meter_of_the_usual_kind_is_taken_where_nothing_is_said():
    assert read(GOOD).instrument == Instrument("meter", 0.05)
    assert read(GOOD + "strip = 0.5\n").instrument.within == 0.25
    assert read(GOOD + "meter = 0.02\n").instrument.within == 0.02


def test_a_reading_is_of_one_instrument_that_shows_something():
    both = read(GOOD + "strip = 0.5\nmeter = 0.02\n")
    assert isinstance(both, Problems)
    assert both.items[0].found == "a strip and a meter"
    nothing = read(GOOD + "strip = 0\n")
    assert isinstance(nothing, Problems)
    assert nothing.items[0].expected == "more than nothing"


def test_one_reading_needs_nothing_added():
    lines = [line for line in GOOD.splitlines() if not line.startswith(("added", "points"))]
    found = read("\n".join([*lines, 'points = [["0 g", 8.9]]']))
    assert isinstance(found, Readings)
    assert found.added == ""
    refused = read("\n".join([*lines, 'points = [["0.1 g", 8.9]]']))
    assert isinstance(refused, Problems)
    assert refused.items[0].found == "no added"


def test_a_date_may_stand_without_quotation_marks():
    assert read(GOOD.replace('"2026-11-20"', "2026-11-20")) == read(GOOD)


def test_everything_wrong_with_a_file_of_readings_is_told_at_once():
    text = """
schema = 1
of = "coco sulfate, needle"
sample = "0 g"
added = "Bar for oily hair"
date = "tomorrow"
points = [["0 g", 8.9], ["0.1", 6.4], ["0.2 g", 15], "0.3 g", ["0.4 g"]]
acid = "citric acid"
"""
    found = read(text)
    assert isinstance(found, Problems)
    told = [(problem.where.place.split(", ")[-1], problem.found) for problem in found.items]
    assert told == [
        ("acid", "acid"),
        ("of", "coco sulfate, needle"),
        ("sample", "0 g"),
        ("", "no water"),
        ("added", "Bar for oily hair"),
        ("date", "tomorrow"),
        ("points.2", "0.1"),
        ("points.3", "15"),
        ("points.4", "0.3 g"),
        ("points.5", "a list"),
    ]
    assert found.items[1].nearest[0] == "coco sulfate, needles"


@pytest.mark.parametrize("points", ["", "points = []", 'points = "0 g"'])
def test_a_file_without_points_is_refused(points):
    text = "\n".join(line for line in GOOD.splitlines() if not line.startswith("points"))
    found = read(f"{text}\n{points}\n")
    assert isinstance(found, Problems)
    assert "points" in found.items[0].where.place


def test_a_newer_form_of_file_is_refused_alone():
    found = read(GOOD.replace("schema = 1", "schema = 9").replace("10 g", "ten"))
    assert isinstance(found, Problems)
    assert [problem.found for problem in found.items] == ["9"]


@pytest.mark.parametrize("text", ["", "of = ", "\x00"])
def test_a_file_that_is_no_toml_is_refused(text):
    assert isinstance(read(text), Problems)
