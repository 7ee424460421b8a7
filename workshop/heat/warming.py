"""Several warmings together, where none of them is enough by itself."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import combinations

from .heat import Body, common_temperature, start_for


class Way(StrEnum):
    """What may be warmed more, the least trouble first."""

    POWDERS = "powders"
    BOWL = "bowl"
    MELT = "water and melt"


@dataclass(frozen=True, slots=True)
class Warmed:
    """Several warmings.

    Args:
        ways: what is warmed, to which temperature [°C].
        reaches: the temperature of the mix then [°C].
        enough: whether that melts every wax; else it is the most that can be reached.
    """

    ways: tuple[tuple[Way, float], ...]
    reaches: float
    enough: bool


def warmed_together(
    groups: Mapping[Way, Sequence[Body]],
    others: Sequence[Body],
    edge: float,
    most: Mapping[Way, float],
) -> Warmed | None:
    """The fewest warmings that bring a mix to an edge, each but the last as far as it may.

    Args:
        groups: what can be warmed, way by way.
        others: what is mixed with it and stays as it is.
        edge: the temperature that the mix has to come to [°C].
        most: the hottest that each way may be [°C].

    Returns:
        ``None`` where nothing can be warmed.
    """
    ways = [way for way in Way if any(body.start < most[way] for body in groups.get(way, ()))]
    for count in range(2, len(ways) + 1):
        for chosen in combinations(ways, count):
            *full, last = chosen
            at = {way: most[way] for way in full}
            rest = [body for way in groups if way != last for body in _at(way, groups, at)]
            celsius = start_for(groups[last], [*groups[last], *rest, *others], edge)
            if celsius <= most[last]:
                return Warmed((*at.items(), (last, celsius)), edge, enough=True)
    if not ways:
        return None
    at = {way: most[way] for way in ways}
    everything = [body for way in groups for body in _at(way, groups, at)]
    return Warmed(tuple(at.items()), common_temperature([*everything, *others]), enough=False)


def _at(way: Way, groups: Mapping[Way, Sequence[Body]], at: Mapping[Way, float]) -> list[Body]:
    if way not in at:
        return list(groups[way])
    return [replace(body, start=max(body.start, at[way])) for body in groups[way]]
