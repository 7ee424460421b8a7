"""What a kilogram of each material adds to the charge of a dispersion.

At an assumed pH every ionisable group has a known mean charge, so the net charge of a bar dispersed
in water is linear in its composition, and falls strictly as the pH rises:

    pH ≥ lo  ⇔  Q(lo) ≥ 0        pH ≤ hi  ⇔  Q(hi) ≤ 0

"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from ..model.frame import Same
from ..model.material import Material
from ..model.substance import Substance
from .activity import charge_of_substance, water_ions
from .constants import constants
from .unknown import alkalinity_of

End = Literal["low", "typical", "high", "unknown low", "unknown high"]
"""Which end of residual alkalinities counts; in the last two, of those that are not known."""

Parts = Sequence[tuple[Material, float]]

WATER = "Water"


def residual_alkalinity(material: Material, end: End = "typical") -> float:
    """Base its substances do not account for [mol/kg]; what its class may bring if not known."""
    span = alkalinity_of(material)
    if end in ("unknown low", "unknown high") and material.alkalinity is not None:
        return span.typical
    return {"low": span.low, "typical": span.typical, "high": span.high}[end.split()[-1]]


def charge_of_material(
    material: Material,
    substances: Mapping[str, Substance],
    ph: float,
    ionic_strength: float,
    end: End = "typical",
) -> float:
    """Charge a kilogram of a material brings, water's own ions apart [mol/kg].

    Args:
        material: its contents count at their typical shares.
        substances: every substance it contains, by INCI name.
        ph: −log10 of the activity of H⁺.
        ionic_strength: [mol/kg water].
        end: which end of the span of its residual alkalinity.
    """
    contained = sum(
        share * charge_of_substance(substances[inci], ph, ionic_strength)
        for inci, share in material.typical_contents()
    )
    buffered = material.buffer * (constants().neutral_ph - ph)
    return contained + buffered + residual_alkalinity(material, end)


@lru_cache(maxsize=512)
def _charges(
    known: Same[Mapping[str, Substance]], ph: float, ionic_strength: float
) -> dict[str, float]:
    """Charges of substances that were asked for at a pH and an ionic strength [mol/kg].

    Lots of one shelf ask for those of the same few again and again.
    """
    del known, ph, ionic_strength  # they are what the charges are remembered by
    return {}


def _charged(
    materials: Sequence[Material],
    substances: Mapping[str, Substance],
    ph: float,
    ionic_strength: float,
) -> Mapping[str, float]:
    """The charge of every substance that some materials contain [mol/kg]."""
    charges = _charges(Same(substances), ph, ionic_strength)
    for inci in (inci for one in materials for inci in one.contents if inci not in charges):
        charges[inci] = charge_of_substance(substances[inci], ph, ionic_strength)
    return charges


def water_share(material: Material) -> float:
    """Water in a material [kg/kg]."""
    span = material.contents.get(WATER)
    return 0.0 if span is None else span.typical


def charge_coefficients(
    materials: Iterable[Material],
    substances: Mapping[str, Substance],
    ph: float,
    dilution: float,
    ionic_strength: float,
    *,
    end: End = "typical",
) -> tuple[float, ...]:
    """What each share adds to the net charge of the dispersion: Q(pH) = Σ coefficient·share.

    The shares add to one, which folds the constant water of the dispersion into each of them.

    Args:
        materials: in the order of the shares.
        substances: every substance they contain, by INCI name.
        ph: the assumed pH.
        dilution: mass of bar in a mass of dispersion [kg/kg].
        ionic_strength: [mol/kg water].
        end: which end of the span of the residual alkalinities.

    Returns:
        [mol per kg of dispersion] for each material.
    """
    hydrogen, hydroxide = water_ions(ph, ionic_strength)
    ions = hydrogen - hydroxide
    below = constants().neutral_ph - ph
    shelf = materials if isinstance(materials, tuple) else tuple(materials)
    charges = _charged(shelf, substances, ph, ionic_strength)
    laid = _side_by_side(Same(shelf), end)
    return tuple(
        dilution
        * (
            sum([share * charges[inci] for inci, share in one.contents])
            + one.buffer * below
            + one.base
        )
        + (1.0 - dilution + dilution * one.water) * ions
        for one in laid
    )


def charge_slopes(
    materials: Sequence[Material],
    substances: Mapping[str, Substance],
    ph: float,
    dilution: float,
    ionic_strength: float,
) -> tuple[tuple[float, ...], ...]:
    """What a unit more of each figure of a material adds to its coefficient.

    Args:
        materials: in the order of the shares.
        substances: every substance they contain, by INCI name.
        ph: the assumed pH.
        dilution: mass of bar in a mass of dispersion [kg/kg].
        ionic_strength: [mol/kg water].

    Returns:
        for each material, of its residual alkalinity, its price and each of its contents.
    """
    hydrogen, hydroxide = water_ions(ph, ionic_strength)
    charges = _charged(materials, substances, ph, ionic_strength)
    return tuple(
        (
            dilution,
            0.0,
            *(
                dilution * (charges[inci] + (hydrogen - hydroxide) * (inci == WATER))
                for inci in one.contents
            ),
        )
        for one in materials
    )


@dataclass(frozen=True, slots=True)
class _Charged:
    """What of a material brings charge: contents [kg/kg], buffer, residual base and water."""

    contents: tuple[tuple[str, float], ...]
    buffer: float
    base: float
    water: float


@lru_cache(maxsize=256)
def _side_by_side(materials: Same[tuple[Material, ...]], end: End) -> tuple[_Charged, ...]:
    return tuple(
        _Charged(
            tuple(one.typical_contents()),
            one.buffer,
            residual_alkalinity(one, end),
            water_share(one),
        )
        for one in materials.thing
    )
