"""What a reading of a bar leaves possible of the lots that it was made from, as inequalities.

At the lower end of what the instrument shows the charge of the dispersion is not below nothing, at
the upper end not above it; at a pH and an ionic strength that charge is linear in the contents and
the residual alkalinities of the lots. The ionic strength itself hangs a little on the lots: each
coefficient stands at the kindest within a window around that of typical lots, so that no lot which
reads so is ruled out.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from ..model.material import Material, Span
from ..model.substance import Substance
from ..model.uncertainty import Cut, Figures
from ..values.told import Told
from .activity import charge_of_substance, water_ions
from .charge import disperse, ionic_strength_at
from .coefficients import WATER, Parts, charge_of_material
from .constants import constants


@dataclass(frozen=True, slots=True, repr=False)
class Taken(Told):
    """A pH that was read of a bar in water.

    Args:
        name: what was read and when, as it is told.
        parts: lots of materials -> mass in the sample [kg]; those that are still there stand under
            the name of their material, others under one of their own.
        materials: the material of each of them.
        fixed: what else was in the beaker, known as it is: an acid that was added [kg].
        water: that it was dispersed in [kg].
        ph: between which the true pH lies, by what the instrument shows.
        read: the pH read.
    """

    name: str
    parts: Mapping[str, float]
    materials: Mapping[str, Material]
    fixed: Parts
    water: float
    ph: tuple[float, float]
    read: float

    @property
    def mass(self) -> float:
        """Of the bar in the sample [kg]."""
        return sum(self.parts.values())


def cuts_of(taken: Taken, substances: Mapping[str, Substance]) -> tuple[Cut, Cut]:
    """What a reading leaves possible: not lower, and not higher than it was read.

    Args:
        taken: the reading.
        substances: every substance in the beaker, by INCI name.

    Raises:
        ValueError: when there is no water.
    """
    parts = [(taken.materials[name], mass) for name, mass in taken.parts.items()]
    dispersed = disperse([*parts, *taken.fixed], substances, taken.water)
    strength = ionic_strength_at(dispersed, taken.read)
    window = [strength * (1.0 + one * constants().strength_apart) for one in (-1.0, 0.0, 1.0)]
    low, high = taken.ph
    return (
        _cut(taken, substances, low, window, sense=1.0),
        _cut(taken, substances, high, window, sense=-1.0),
    )


def _cut(
    taken: Taken,
    substances: Mapping[str, Substance],
    ph: float,
    window: list[float],
    *,
    sense: float,
) -> Cut:
    """Sense · charge at a pH, with every coefficient at its kindest, is at least nothing."""

    def kindest(of: Mapping[float, float]) -> float:
        return max(sense * value for value in of.values())

    def of_substance(inci: str) -> float:
        found = {one: charge_of_substance(substances[inci], ph, one) for one in window}
        if inci == WATER:
            ions = {one: water_ions(ph, one) for one in window}
            found = {one: found[one] + ions[one][0] - ions[one][1] for one in window}
        return kindest(found)

    weights: dict[str, Figures] = {}
    rest = 0.0
    for name, mass in taken.parts.items():
        material, part = taken.materials[name], mass / taken.mass
        by_content = (part * of_substance(inci) for inci in material.contents)
        weights[name] = (*by_content, part * sense)
        rest += part * sense * material.buffer * (constants().neutral_ph - ph)
    beside = {one: _beside(taken, substances, ph, one) / taken.mass for one in window}
    return Cut(taken.name, weights, -(rest + kindest(beside)))


def _beside(taken: Taken, substances: Mapping[str, Substance], ph: float, strength: float) -> float:
    """Charge of the water and of what was added, their contents as they are known [mol]."""
    hydrogen, hydroxide = water_ions(ph, strength)
    found = taken.water * (hydrogen - hydroxide)
    for material, mass in taken.fixed:
        wet = material.contents.get(WATER, Span(0.0, 0.0, 0.0)).typical
        found += mass * charge_of_material(material, substances, ph, strength)
        found += mass * wet * (hydrogen - hydroxide)
    return found
