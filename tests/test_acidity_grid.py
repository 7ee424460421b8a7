"""Many compositions at once give the figures that each gives alone."""

import numpy as np
import pytest
from barwright.constraints.acidity.charge import equilibrium, in_water
from barwright.constraints.acidity.constants import constants
from barwright.constraints.acidity.many import predict_many
from barwright.constraints.model.material import Form, Material, Phase, Span
from barwright.constraints.model.substance import Ionisation, Substance
from barwright.constraints.values.problem import Source, SourceKind
from hypothesis import given
from hypothesis import strategies as st

BY_HAND = Source("figures of this test", SourceKind.MEASURED)
WATER = Substance("Water", (), (), 18.015, None, 0.0, 7.0, "", BY_HAND)


@st.composite
def worlds(draw):
    """A few substances, each in a material of its own with some water or none."""
    substances, materials = {"Water": WATER}, []
    for number in range(draw(st.integers(1, 5))):
        groups = Ionisation(
            tuple(sorted(draw(st.lists(st.floats(1.0, 13.0), max_size=4)))),
            draw(st.integers(-1, 2)),
            tuple(draw(st.lists(st.sampled_from([-1, 1, 2]), max_size=3))),
            draw(st.booleans()),
            BY_HAND,
        )
        inci, buffer = f"Substance {number}", draw(st.sampled_from([0.0, 0.0, 0.3]))
        mass = draw(st.floats(40.0, 400.0))
        substances[inci] = Substance(inci, (), (), mass, groups, buffer, 5.0, "", BY_HAND)
        water = draw(st.sampled_from([0.0, 0.3, 0.9]))
        materials.append(
            _material(inci, water, draw(st.sampled_from([None, Span(-0.05, 0.0, 0.1)])))
        )
    return substances, materials


def _material(inci: str, water: float, alkalinity: Span | None) -> Material:
    contents = {inci: Span(1 - water, 1 - water, 1 - water), "Water": Span(water, water, water)}
    form, phase, buffer = Form.SOLID, Phase.POWDER, 0.02
    return Material(
        inci.lower(),
        form,
        phase,
        (),
        (),
        contents,
        None,
        None,
        alkalinity,
        buffer,
        None,
        None,
        None,
        (),
        BY_HAND,
    )


@given(
    worlds(),
    st.integers(0, 10**6),
    st.floats(0.02, 0.9),
    st.sampled_from(["low", "typical", "high"]),
)
def test_many_at_once_equal_one_by_one(world, number, dilution, end):
    substances, materials = world
    shares = np.random.default_rng(number).dirichlet(np.full(len(materials), 0.5), size=7)
    ph, strength = predict_many(materials, substances, shares, dilution, end=end)
    for row, one_ph, one_strength in zip(shares, ph, strength, strict=True):
        parts = list(zip(materials, map(float, row), strict=True))
        alone = equilibrium(in_water(parts, substances, dilution, end))
        # Far beyond what the model is trusted for, iteration creeps, and may stop a step apart.
        near = 1e-9 if alone[1] <= constants().trusted_to else 1e-6
        assert one_ph == pytest.approx(alone[0], abs=near)
        assert one_strength == pytest.approx(alone[1], rel=near, abs=1e-12)


def test_no_compositions_give_no_figures():
    ph, strength = predict_many([], {}, np.empty((0, 0)), 0.1)
    assert ph.shape == strength.shape == (0,)


def test_a_mix_without_water_is_refused():
    acid = Ionisation((4.0,), 0, (), aggregates=False, source=BY_HAND)
    substances = {
        "Acid": Substance("Acid", (), (), 100.0, acid, 0.0, 7.0, "", BY_HAND),
        "Water": WATER,
    }
    with pytest.raises(ValueError, match="needs water"):
        predict_many([_material("Acid", 0.0, None)], substances, np.array([[1.0]]), 1.0)


def test_an_impossible_dilution_is_refused():
    with pytest.raises(ValueError, match="dilution"):
        predict_many([], {}, np.empty((0, 0)), 1.5)
