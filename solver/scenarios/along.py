"""What many scenarios come to along a limit or a price: costs, and at which of them to switch."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ...constraints.model.lots import Flags, Floats
from ...constraints.model.mix import TRACE
from ...constraints.model.rule import Side
from .quantiles import quantiles_of

PARTS = 5
"""Equal parts of a range that are told of."""


@dataclass(frozen=True, slots=True)
class Varied:
    """A limit or a price that differs from scenario to scenario.

    Args:
        about: the rule or the material.
        side: which limit of the rule, "low" or "high"; ``None`` for a price.
        places: where it stands in turn; or the two ends of its range.
        drawn: whether they are the ends of a range.
    """

    about: str
    side: Side | None
    places: tuple[float, ...]
    drawn: bool


@dataclass(frozen=True, slots=True)
class Stretch:
    """The scenarios in which a figure stands in a part of its range, or at one of its places.

    Args:
        low, high: from where to where, in the canonical unit of the rule or [money/kg].
        count: how many.
        none: of them, those in which no composition keeps the rules.
        costs: quantiles of the least cost, as ``QUANTILES`` [money/kg].
    """

    low: float
    high: float
    count: int
    none: int
    costs: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Switch:
    """Where a figure stood with a material in, and where with it out.

    Args:
        material: its name; one that comes and goes.
        within: the lowest and the highest place at which it was in.
        without: the same at which it was out.
    """

    material: str
    within: tuple[float, float]
    without: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Along:
    """What the scenarios come to along one limit or one price.

    Args:
        varied: which, and where it stood.
        stretches: from low to high.
        switches: materials that come and go.
    """

    varied: Varied
    stretches: tuple[Stretch, ...]
    switches: tuple[Switch, ...]


def along_of(
    varied: Varied,
    places: Floats,
    *,
    costs: Floats,
    shares: Floats,
    untold: Flags,
    names: Sequence[str],
) -> Along:
    """Sum up scenarios along a limit or a price.

    Args:
        varied: which.
        places: [N] where it stood.
        costs: [N] of the cheapest composition, not a number where there is none [money/kg].
        shares: [N, n] of it [kg/kg].
        untold: [N] where it could not be told whether there is one.
        names: [n] of the materials.
    """
    stretches = tuple(
        _stretch(low, high, costs[there], untold[there])
        for low, high, there in _parts(varied, places)
    )
    known = ~np.isnan(costs)
    return Along(varied, stretches, tuple(_switches(places[known], shares[known], names)))


def _parts(varied: Varied, places: Floats) -> Iterator[tuple[float, float, Flags]]:
    """Each part of a range, or each place of a list, and which scenarios are in it."""
    if not varied.drawn:
        for place in sorted(set(varied.places)):
            yield place, place, np.asarray(places == place)
        return
    edges = np.linspace(varied.places[0], varied.places[1], PARTS + 1)
    part = np.clip(np.searchsorted(edges, places, side="right") - 1, 0, PARTS - 1)
    for number in range(PARTS):
        yield float(edges[number]), float(edges[number + 1]), np.asarray(part == number)


def _stretch(low: float, high: float, costs: Floats, untold: Flags) -> Stretch:
    none = int((np.isnan(costs) & ~untold).sum())
    return Stretch(low, high, len(costs), none, quantiles_of(costs))


def _switches(places: Floats, shares: Floats, names: Sequence[str]) -> Iterator[Switch]:
    for column, name in enumerate(names):
        used = shares[:, column] > TRACE
        if used.any() and not used.all():
            within, without = places[used], places[~used]
            yield Switch(
                name,
                (float(within.min()), float(within.max())),
                (float(without.min()), float(without.max())),
            )
