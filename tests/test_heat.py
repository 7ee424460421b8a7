"""Mixing keeps the heat: the temperature of a mix is the one at which all heat is accounted for."""

from math import fsum

import pytest
from barwright.constraints.catalogue import catalogue
from barwright.constraints.market.practice import figure
from barwright.constraints.model.material import Form, Heat, Material, Phase, Span
from barwright.constraints.values.problem import Source, SourceKind
from barwright.constraints.values.units import Dimension
from barwright.workshop.heat.heat import (
    Body,
    Miss,
    body_of,
    common_temperature,
    mixing,
    temperature_at,
)
from hypothesis import given, settings
from hypothesis import strategies as st

WATER = 4.184  # kJ/(kg·K); CRC Handbook, water at 20 °C, rounded as general textbooks round it
ICE = 334.0  # kJ/kg, heat of melting of ice; the same
BY_HAND = Source("figures of this test", SourceKind.MEASURED)


def wax(mass: float, start: float, *, melts_over: float = 6.0) -> Body:
    return Body("wax", mass, start, 2.0, melts_at=55.0, latent=200.0, melts_over=melts_over)


def oil(mass: float, start: float) -> Body:
    return Body("oil", mass, start, 2.0)


def powder(mass: float, start: float = 20.0) -> Body:
    return Body("powder", mass, start, 1.5)


# Published worked examples.


@pytest.mark.reference
def test_water_poured_into_a_hot_pan_comes_to_the_published_temperature() -> None:
    """OpenStax, College Physics, section 14.2, example 14.2: 59.1 °C."""
    pan = Body("aluminium pan", 0.500, 150.0, 0.900)
    water = Body("water", 0.250, 20.0, 4.186)
    assert common_temperature([pan, water]) == pytest.approx(59.1, abs=0.05)


@pytest.mark.reference
def test_ice_melting_in_a_drink_brings_it_to_the_published_temperature() -> None:
    """OpenStax, College Physics, section 14.3, example 14.4: 13 °C from 20 °C, 18 g in 250 g."""
    ice = Body("ice", 0.018, 0.0, 4.186, melts_at=0.0, latent=ICE)
    drink = Body("drink", 0.250, 20.0, 4.186)
    assert common_temperature([ice, drink]) == pytest.approx(13.0, abs=0.5)
    by_hand = (0.250 * 4.186 * 20 - 0.018 * ICE) / (0.268 * 4.186)
    assert common_temperature([ice, drink]) == pytest.approx(by_hand, abs=1e-9)


@pytest.mark.reference
def test_too_much_ice_stays_at_its_melting_point_partly_melted() -> None:
    """200 g of water at 25 °C melt 200·4.184·25/334 = 62.6 g of ice and no more."""
    ice = Body("ice", 0.2, 0.0, WATER, melts_at=0.0, latent=ICE)
    water = Body("water", 0.2, 25.0, WATER)
    assert common_temperature([ice, water]) == 0.0
    just_enough = Body("ice", 0.2 * WATER * 25 / ICE, 0.0, WATER, melts_at=0.0, latent=ICE)
    assert common_temperature([just_enough, water]) == pytest.approx(0.0, abs=1e-9)
    less = Body("ice", 0.05, 0.0, WATER, melts_at=0.0, latent=ICE)
    assert common_temperature([less, water]) == pytest.approx(4.0344, abs=1e-4)


# The curve of heat.


def test_heat_of_melting_is_taken_up_over_the_melting_range_and_no_further() -> None:
    body = wax(1.0, 20.0)
    assert body.heat(49.0) == pytest.approx(98.0)
    assert body.heat(52.0) == pytest.approx(104.0 + 100.0)
    assert body.heat(55.0) == pytest.approx(110.0 + 200.0)
    assert body.heat(80.0) == pytest.approx(160.0 + 200.0)


@st.composite
def bodies(draw: st.DrawFn) -> list[Body]:
    def body(k: int) -> Body:
        melts = draw(st.booleans())
        return Body(
            name=str(k),
            mass=draw(st.floats(0.001, 5.0)),
            start=draw(st.floats(-10.0, 120.0)),
            specific=draw(st.floats(0.3, 4.5)),
            melts_at=draw(st.floats(0.0, 100.0)) if melts else None,
            latent=draw(st.floats(0.0, 400.0)) if melts else 0.0,
            melts_over=draw(st.sampled_from([0.0, 3.0, 12.0])) if melts else 0.0,
        )

    return [body(k) for k in range(draw(st.integers(1, 6)))]


def between(parts: list[Body], celsius: float) -> tuple[float, float]:
    """Heat held just below and just above a temperature."""
    around = 1e-7
    return (
        fsum(body.heat(celsius - around) for body in parts),
        fsum(body.heat(celsius + around) for body in parts),
    )


@settings(max_examples=200, deadline=None)
@given(bodies())
def test_no_heat_is_lost_or_found_in_mixing(parts: list[Body]) -> None:
    celsius = common_temperature(parts)
    brought = fsum(body.heat(body.start) for body in parts)
    below, above = between(parts, celsius)
    assert below - 1e-3 <= brought <= above + 1e-3
    starts = [body.start for body in parts]
    assert min(starts) - 1e-6 <= celsius <= max(starts) + 1e-6


@settings(max_examples=200, deadline=None)
@given(bodies(), st.floats(0.0, 50.0))
def test_warmer_parts_never_make_a_colder_mix(parts: list[Body], warmer: float) -> None:
    first, *rest = parts
    raised = Body(
        first.name,
        first.mass,
        first.start + warmer,
        first.specific,
        first.melts_at,
        first.latent,
        first.melts_over,
    )
    assert common_temperature([raised, *rest]) >= common_temperature(parts) - 1e-9


@settings(max_examples=100, deadline=None)
@given(bodies(), st.floats(-50.0, 150.0))
def test_the_temperature_of_a_heat_is_the_inverse_of_the_heat_at_a_temperature(
    parts: list[Body], celsius: float
) -> None:
    heat = fsum(body.heat(celsius) for body in parts)
    assert temperature_at(parts, heat) == pytest.approx(celsius, abs=1e-6)


def test_the_order_of_the_bodies_is_no_matter() -> None:
    parts = [wax(0.2, 75.0), oil(0.1, 75.0), powder(0.6)]
    assert common_temperature(parts) == pytest.approx(common_temperature(parts[::-1]), abs=1e-12)


def test_a_mix_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="heat"):
        common_temperature([])


# The window.


def test_a_mix_within_its_window_needs_no_way_out() -> None:
    found = mixing([wax(0.5, 80.0), oil(0.3, 80.0), powder(0.1)], 20.0, add_below=85.0)
    assert found.misses == ()
    assert found.melts_by == 55.0
    assert 55.0 <= found.temperature <= 85.0
    ways = (found.wait_until, found.bowl_at, found.heat_to, found.warm_to, found.hold_back)
    assert set(ways) == {None}
    assert found.setting == ()


def test_cold_powder_and_bowl_make_wax_set_and_every_way_out_brings_it_to_the_edge() -> None:
    parts = [wax(0.2, 70.0), oil(0.6, 70.0), powder(0.2)]
    bowl = Body("bowl", 0.8, 20.0, 0.5)
    found = mixing(parts, 20.0, bowl=bowl, hottest=95.0)
    assert found.misses == (Miss.WAX_SETS,)
    assert dict(found.setting)["wax"] > 0.0
    assert found.hold_back is None
    assert found.wait_until is None
    assert found.bowl_at is not None
    warmed = Body("bowl", 0.8, found.bowl_at, 0.5)
    assert common_temperature([*parts, warmed]) == pytest.approx(55.0, abs=1e-6)
    assert found.heat_to is not None
    assert found.warm_to is not None
    warmer = [wax(0.2, 70.0), oil(0.6, 70.0), powder(0.2, found.warm_to), bowl]
    assert common_temperature(warmer) == pytest.approx(55.0, abs=1e-6)
    hotter = [wax(0.2, found.heat_to), oil(0.6, found.heat_to), powder(0.2), bowl]
    assert common_temperature(hotter) == pytest.approx(55.0, abs=1e-6)


def test_a_way_out_hotter_than_is_sensible_is_none() -> None:
    parts = [wax(0.2, 58.0), powder(0.2), powder(0.6, -5.0)]
    bowl = Body("bowl", 0.1, 20.0, 0.5)
    found = mixing(parts, 20.0, bowl=bowl, hottest=60.0)
    assert found.misses == (Miss.WAX_SETS,)
    assert (found.bowl_at, found.heat_to) == (None, None)
    assert found.warm_to is not None
    assert mixing(parts, 20.0, bowl=bowl, hottest=found.warm_to - 0.1).warm_to is None


def test_too_hot_a_mix_waits_or_keeps_part_of_the_oil_cold() -> None:
    parts = [wax(0.1, 85.0), oil(0.5, 85.0), powder(0.3)]
    found = mixing(parts, 20.0, add_below=60.0)
    assert found.misses == (Miss.TOO_HOT,)
    assert found.wait_until == 60.0
    assert found.hold_back is not None
    split = [wax(0.1, 85.0), oil(0.5 - found.hold_back, 85.0), oil(found.hold_back, 20.0)]
    assert common_temperature([*split, powder(0.3)]) == pytest.approx(60.0, abs=1e-6)
    assert found.heat_to is not None
    cooler = [wax(0.1, found.heat_to), oil(0.5, found.heat_to), powder(0.3)]
    assert common_temperature(cooler) == pytest.approx(60.0, abs=1e-6)


def test_a_melt_is_never_told_to_stay_below_its_melting_point() -> None:
    parts = [wax(0.4, 85.0), oil(0.4, 85.0), powder(0.1)]
    found = mixing(parts, 20.0, add_below=40.0)
    assert found.misses == (Miss.TOO_HOT,)
    assert found.heat_to is None
    assert found.wait_until == 40.0


def test_a_window_that_is_shut_misses_on_both_sides() -> None:
    parts = [wax(0.2, 70.0), oil(0.6, 70.0), powder(0.5)]
    found = mixing(parts, 20.0, add_below=40.0)
    assert set(found.misses) == {Miss.WAX_SETS, Miss.TOO_HOT}
    assert found.wait_until == 40.0
    assert found.hold_back is None


# What is not known.


def material(name: str, heat: Heat | None) -> Material:
    return Material(
        name=name,
        form=Form.SOLID,
        phase=Phase.POWDER,
        classes=(),
        tags=(),
        contents={"Water": Span(1.0, 1.0, 1.0)},
        dose=None,
        add_below=None,
        alkalinity=None,
        buffer=0.0,
        works_below_ph=None,
        density=None,
        heat=heat,
        hazards=(),
        source=BY_HAND,
    )


def test_materials_without_heat_figures_are_named_and_widen_the_answer() -> None:
    known = body_of(material("known", Heat(2.0, None, 0.0, BY_HAND)), 0.6, 80.0)
    unknown = body_of(material("unknown", None), 0.2, 20.0)
    found = mixing([known, unknown], 20.0)
    assert found.unknown == ("unknown",)
    assert found.unknown_share == pytest.approx(0.25)
    span = figure("specific heat not known", Dimension.HEAT).span
    at = {
        end: common_temperature([known, Body("unknown", 0.2, 20.0, end)])
        for end in (span.low, span.typical, span.high)
    }
    assert found.temperature == pytest.approx(at[span.typical])
    assert found.low == pytest.approx(at[span.high])
    assert found.high == pytest.approx(at[span.low])


def test_with_every_figure_known_the_answer_has_no_width() -> None:
    found = mixing([wax(0.5, 80.0), powder(0.1)], 20.0)
    assert found.unknown == ()
    assert found.unknown_share == 0.0
    assert found.low == found.temperature == found.high


def test_a_material_melts_over_the_range_of_common_practice() -> None:
    body = body_of(material("wax", Heat(2.0, 60.0, 190.0, BY_HAND)), 0.1, 80.0)
    assert body.melts_over == figure("melting range", Dimension.RATIO).span.typical
    assert body.molten(60.0) == 1.0
    assert body.molten(60.0 - body.melts_over) == 0.0


# The catalogue's figures.


def nearly_pure() -> list[tuple[str, str, float]]:
    """(material, CAS number, molar mass) of catalogue materials that are nearly one substance."""
    found = []
    for name in catalogue.material_names():
        inci, share = max(catalogue.material(name).typical_contents(), key=lambda pair: pair[1])
        substance = catalogue.substance(inci)
        if share >= 0.9 and substance.molar_mass:
            found += [(name, cas, substance.molar_mass) for cas in substance.cas]
    return found


@pytest.mark.reference
def test_heat_capacities_of_the_catalogue_are_those_of_the_handbook() -> None:
    """CRC Handbook, standard molar heat capacities at 25 °C, as tabulated by ``chemicals``.

    One figure stands for the solid and for the melt, which takes up to a third more.
    """
    from chemicals.heat_capacity import CRC_standard_data

    compared = []
    for name, cas, molar_mass in nearly_pure():
        heat = catalogue.material(name).heat
        if heat is None or cas not in CRC_standard_data.index:
            continue
        row = CRC_standard_data.loc[cas]
        state = "Cpl" if catalogue.material(name).form is Form.LIQUID else "Cps"
        if row[state] > 0:
            assert heat.specific == pytest.approx(row[state] / molar_mass, rel=0.34), name
            compared.append(name)
    assert len(compared) >= 8


@pytest.mark.reference
def test_heats_of_melting_of_fatty_acids_in_the_catalogue_are_those_of_the_handbook() -> None:
    """CRC Handbook, enthalpies of fusion, as tabulated by ``chemicals``.

    Fatty alcohols are left out: they take up as much again in a change of crystal just below.
    """
    from chemicals.phase_change import Hfus

    compared = []
    for name, cas, molar_mass in nearly_pure():
        material = catalogue.material(name)
        molar = (
            Hfus(cas, method="CRC")
            if "fatty acid"
            in catalogue.substance(
                max(material.typical_contents(), key=lambda pair: pair[1])[0]
            ).classes
            else None
        )
        if molar and material.heat is not None and material.heat.melts_at is not None:
            assert material.heat.latent == pytest.approx(molar / molar_mass, rel=0.12), name
            compared.append(name)
    assert len(compared) >= 3
