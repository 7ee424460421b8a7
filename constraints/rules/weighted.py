"""Weighted sums of what a rule counts: so much of one thing, and half as much of another."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import fsum
from typing import TYPE_CHECKING

from ..model.frame import picked
from ..model.rule import Selector
from ..values.table import Table
from ..values.units import Dimension
from .scene import Scene
from .selecting import carried, counted, must_be_there, selector_named, selector_of

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.lots import Floats, Lots
    from ..model.mix import Mix


@dataclass(frozen=True, slots=True)
class Weighted:
    """Masses added up, each times a factor.

    Args:
        parts: what is counted, and what a kilogram of it counts for; factors are above 0.
    """

    parts: tuple[tuple[Selector, float], ...]

    @property
    def said(self) -> str:
        """Its names with their factors."""
        return " + ".join(f"{factor:g} × {of.said}" for of, factor in self.parts)


def in_frame(of: Selector | Weighted, frame: "Frame") -> Mapping[int, float]:
    """Column -> mass that counts for each kilogram of the material [kg/kg]."""
    if isinstance(of, Selector):
        return picked(of, frame)
    found: dict[int, float] = {}
    for selector, factor in of.parts:
        for column, amount in picked(selector, frame).items():
            found[column] = found.get(column, 0.0) + factor * amount
    return found


def in_mix(of: Selector | Weighted, mix: "Mix") -> float:
    """Mass that counts in a kilogram of mix [kg/kg]."""
    if isinstance(of, Selector):
        return mix.picked(of)
    return fsum(factor * mix.picked(selector) for selector, factor in of.parts)


def in_lots(of: Selector | Weighted, lots: "Lots") -> "Floats":
    """[N] the same for every lot [kg/kg]."""
    if isinstance(of, Selector):
        return lots.picked(of)
    total = lots.alike(0.0)
    for selector, factor in of.parts:
        total += factor * lots.picked(selector)
    return total


def read_sums(entry: Table, keys: Sequence[str], scene: Scene) -> list[Selector | Weighted | None]:
    """What several keys name, each a name, several names, or a table of factors by name."""
    plain = {key for key in keys if not isinstance(entry.values.get(key), dict)}
    read = [
        [(selector_of(entry, key, scene), 1.0)] if key in plain else _factors(entry, key, scene)
        for key in keys
    ]
    made = iter(counted(entry, [of for parts in read for of, _ in parts]))
    sums = [[(next(made), factor) for _, factor in parts] for parts in read]
    return [
        parts[0][0] if key in plain else _summed(parts)
        for key, parts in zip(keys, sums, strict=True)
    ]


def _summed(parts: Iterable[tuple[Selector | None, float | None]]) -> Weighted | None:
    """A sum, or ``None`` where any part of it could not be read."""
    several = tuple(parts)
    whole = [(of, factor) for of, factor in several if of is not None and factor is not None]
    return Weighted(tuple(whole)) if whole and len(whole) == len(several) else None


def _factors(entry: Table, key: str, scene: Scene) -> list[tuple[Selector | None, float | None]]:
    section = entry.table(key)
    if section is None or not section.values:
        expected = 'a factor for each name, such as { "class:anionic" = 1 }'
        entry.refuse("an empty table", expected, key)
        return []
    return [
        (selector_named(section, name, name, scene), _factor(section, name))
        for name in section.values
    ]


def _factor(section: Table, name: str) -> float | None:
    factor = section.figure(section.values[name], Dimension.RATIO, name)
    if factor is not None and factor <= 0:
        section.refuse(f"{factor:g}", "a factor above 0", name)
        return None
    return factor


def some_there(entry: Table, key: str, of: Selector | Weighted, scene: Scene) -> None:
    """Note where a rule can only be kept by something of which the shelf has none."""
    if isinstance(of, Selector):
        must_be_there(entry, key, of, scene)
    elif not any(carried(one, scene) for one, _ in of.parts):
        for one, _ in of.parts:
            must_be_there(entry, key, one, scene)
