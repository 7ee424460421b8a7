"""Stock and packs of one material, as they are used up."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from .bought import Origin, PacksBought
from .horizon import Holding, Horizon


@dataclass(slots=True)
class _Heap:
    """What is left of a source while it is drawn from [kg]."""

    source: Origin
    rest: float


def is_of(held: Holding, source: Origin) -> bool:
    """Whether what is held came from a source."""
    return Origin(held.material, 0, held.last, held.lot) == source


def heaped(horizon: Horizon, name: str, purchases: Sequence[PacksBought]) -> Iterator[_Heap]:
    """What keeps of a material, in the order in which it comes, each with its kilograms."""
    for held in horizon.holdings:
        if held.material == name and held.last is None:
            yield _Heap(Origin(name, 0, None, held.lot), held.mass)
    for one in purchases:
        if one.offer.material == name and one.offer.keeps is None:
            yield _Heap(Origin(name, one.week, None), one.mass)
