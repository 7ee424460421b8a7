"""The shelf: which materials can be had, from whom, at what price, and how much is there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ..values.names import Called
from ..values.problem import Where
from ..values.told import Told
from .material import Material


@dataclass(frozen=True, slots=True, repr=False)
class Offer(Told):
    """One way to buy a material.

    Args:
        supplier: who sells it, as the maker calls them; empty where the shelf does not say.
        price: of a pack [money].
        pack: mass of a pack [kg].
        least: the least that is sold at once [kg].
        available: whether it can be had at all.
        where: the line of the shelf file.
    """

    supplier: str
    price: float
    pack: float
    least: float
    available: bool
    where: Where

    @property
    def per_kg(self) -> float:
        """[money/kg]."""
        return self.price / self.pack


@dataclass(frozen=True, slots=True, repr=False)
class Lot(Told):
    """Some of a material that is there.

    Args:
        name: the lot as its supplier numbers it; empty where it was not noted.
        mass: what is left of it [kg].
        best_before: the last day it is good for (ISO), empty where it was not noted.
        supplier: where it came from, or empty.
    """

    name: str
    mass: float
    best_before: str = ""
    supplier: str = ""


@dataclass(frozen=True, slots=True, repr=False)
class Item(Told):
    """A material on the shelf; however many offers there are of it, it is one material.

    Args:
        material: what it is.
        price: [money/kg] in the currency of the brief: that of the cheapest offer available.
        pack: mass of one pack of that offer [kg].
        stock: what is there in all [kg], or ``None`` where it was not counted.
        available: whether it can be had at all.
        note: the maker's own.
        where: the line of the shelf file.
        offers: every way to buy it, in the order of the file; none in a bench built by hand.
        lots: what is there, lot by lot.
        short: the maker's own short name, or empty.
        own: figures of the maker's own, by the names of their columns.
    """

    material: Material
    price: float
    pack: float
    stock: float | None
    available: bool
    note: str
    where: Where
    offers: tuple[Offer, ...] = ()
    lots: tuple[Lot, ...] = ()
    short: str = ""
    own: Mapping[str, float] = field(default_factory=dict)

    @property
    def offer(self) -> Offer | None:
        """The offer that prices it; ``None`` without offers, or at a price set since."""
        return next((one for one in by_price(self.offers) if one.per_kg == self.price), None)


def called(items: Sequence[Item]) -> Called:
    """Every name by which the materials of a shelf may be called, short ones too."""
    own = {item.material.name: item.material.name for item in items}
    also = {other: item.material.name for item in items for other in item.material.also}
    return Called(also | {item.short: item.material.name for item in items if item.short} | own)


def by_price(offers: tuple[Offer, ...]) -> tuple[Offer, ...]:
    """Those that can be had before those that cannot, then the cheapest first."""
    return tuple(sorted(offers, key=lambda one: (not one.available, one.per_kg)))
