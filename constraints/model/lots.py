"""One composition made from many lots of its materials: what a judge sees, laid out as columns.

A lot is one delivery of a material: contents somewhere in its certificate's ranges, adding to one,
and a residual alkalinity in its range. This is `Mix` over and over, with one figure for each time.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from .frame import Same
from .material import Material
from .mix import Mix, fits_substance
from .rule import Selector
from .substance import Substance
from .uncertainty import lot_of

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Lots:
    """A composition made N times over, each time from another lot of every material.

    Args:
        mix: the composition from typical lots.
        contents: for each material [N, its substances in declared order] [kg/kg].
        alkalinity: [N, materials] residual alkalinity [mol/kg].
        prices: [N, materials] [money/kg].
        asked: what was worked out of them already, by dilution: several rules ask for one pH.
        held: the substances in them, once they were counted.
    """

    mix: Mix
    contents: tuple[Floats, ...]
    alkalinity: Floats
    prices: Floats
    asked: dict[float, tuple[Floats, Floats]] = field(
        default_factory=dict, repr=False, compare=False
    )
    held: dict[str, Floats] = field(default_factory=dict, repr=False, compare=False)

    @property
    def count(self) -> int:
        """How many times it is made: N."""
        return len(self.alkalinity)

    @property
    def shares(self) -> Floats:
        """[materials] share of each in the mix [kg/kg]."""
        return np.array([share for _, _, share in self.mix.parts])

    @property
    def materials(self) -> tuple[Material, ...]:
        """The materials of the composition."""
        return tuple(material for material, _, _ in self.mix.parts)

    @property
    def cost(self) -> Floats:
        """[N] of the materials in a kilogram of mix [money/kg]."""
        return np.asarray(self.prices @ self.shares)

    def alike(self, value: float | None) -> Floats:
        """[N] one figure for every lot; not a number where there is none."""
        return np.full(self.count, np.nan if value is None else value)

    def all_or_none(self, *, kept: bool) -> Flags:
        """[N] one answer for every lot."""
        return np.full(self.count, kept, dtype=np.bool_)

    def share_of_substances(self) -> Mapping[str, Floats]:
        """[N] of each substance in the mix [kg/kg]."""
        if not self.held:
            for (material, _, share), contents in zip(self.mix.parts, self.contents, strict=True):
                for place, inci in enumerate(material.contents):
                    self.held[inci] = self.held.get(inci, 0.0) + share * contents[:, place]
        return self.held

    def counted(self, factors: Mapping[str, float]) -> Floats:
        """[N] Σ factor · content · share over some substances [kg/kg]."""
        total = np.zeros(self.count)
        for inci, share in self.share_of_substances().items():
            if inci in factors:
                total += factors[inci] * share
        return total

    def picked(self, selector: Selector) -> Floats:
        """[N] mass that a selector counts in a kilogram of mix [kg/kg]."""
        if not selector.inside:  # whole materials, whatever is in this lot of them
            return self.alike(self.mix.picked(selector))
        inside = _inside(selector, Same(self.mix.substances))
        return self.counted(dict.fromkeys(inside, 1.0))

    def each(self) -> Iterator[Mix]:
        """The composition of every lot, one by one."""
        return (self.one(row) for row in range(self.count))

    def one(self, row: int) -> Mix:
        """The composition made from one lot of each material."""
        parts = tuple(
            (self.lot(column, row), float(self.prices[row, column]), share)
            for column, (_, _, share) in enumerate(self.mix.parts)
        )
        return Mix(parts, self.mix.substances)

    def lot(self, column: int, row: int) -> Material:
        """One lot of a material."""
        found = self.contents[column][row]
        return lot_of(
            self.materials[column], tuple(map(float, found)), float(self.alkalinity[row, column])
        )

    def values(self, of: Callable[[Mix], float | None]) -> Floats:
        """[N] a figure of every lot, asked one by one; not a number where there is none."""
        found = (of(mix) for mix in self.each())
        return np.array([np.nan if value is None else value for value in found])

    def flags(self, of: Callable[[Mix], bool]) -> Flags:
        """[N] an answer for every lot, asked one by one."""
        return np.array([of(mix) for mix in self.each()], dtype=np.bool_)


@lru_cache(maxsize=256)  # each rule asks for its own in every set of lots
def _inside(selector: Selector, known: Same[Mapping[str, Substance]]) -> tuple[str, ...]:
    """Substances that a selector picks."""
    return tuple(inci for inci, one in known.thing.items() if fits_substance(selector, one))


def within_limits(values: Floats, low: float | None, high: float | None, tolerance: float) -> Flags:
    """[N] whether each lies between the limits; where there is no value nothing is asked."""
    above = np.full(len(values), -np.inf if low is None else low) - tolerance
    below = np.full(len(values), np.inf if high is None else high) + tolerance
    return np.isnan(values) | ((values >= above) & (values <= below))
