"""The shelf: which materials can be had, at what price, and how much of each is there."""

from dataclasses import dataclass

from ..values.problem import Where
from .material import Material


@dataclass(frozen=True, slots=True)
class Item:
    """A material on the shelf.

    Args:
        material: what it is.
        price: [money/kg] in the currency of the brief.
        pack: mass of one pack [kg].
        stock: what is there [kg], or ``None`` where it was not counted.
        available: whether it can be had at all.
        note: the maker's own.
        where: the line of the shelf file.
    """

    material: Material
    price: float
    pack: float
    stock: float | None
    available: bool
    note: str
    where: Where
