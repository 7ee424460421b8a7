"""The brief: what the bar must be, and the bench that makes it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from ..values.names import Called
from ..values.problem import Problem
from ..values.told import Told
from .box import Box
from .material import Material
from .purpose import Purpose
from .rule import Rule
from .shelf import Item, called
from .stores import Stores
from .substance import Substance
from .workshop import Workshop

MOST_BARS = 100_000
"""No batch of a workshop holds more bars: a number beyond it is a slip."""


@dataclass(frozen=True, slots=True)
class Balance:
    """A balance.

    Args:
        name: what the maker calls it.
        step: its scale step [kg].
        capacity: the most that it carries, cup and load together [kg].
        least: the least load that it reads sensibly [kg].
        cup: mass of the cup that stands on it while something is weighed apart [kg]; taring
            takes it off the reading, never off the load.
    """

    name: str
    step: float
    capacity: float
    least: float
    cup: float = 0.0

    @property
    def room(self) -> float:
        """The most that can be weighed in a cup [kg]."""
        return self.capacity - self.cup


@dataclass(frozen=True, slots=True)
class Portioning:
    """What happens between the vessel and the box.

    Args:
        declared: net mass declared on the box [kg], or ``None``.
        drying: water lost before sale [kg per kg of mix].
        loss: mix left in bowl, mould and trimmings [kg per kg of mix].
        spread: standard deviation of a portion [kg], or ``None`` where none was measured.
        washes: washes a bar lasts (least, most), or ``None``.
        dried_when_packed: water lost before packing [kg per kg of mix], where the declared mass
            is that of the bar when packed; ``None`` where it is that of the bar when sold.
        spread_from: bars that the spread was worked out from; 0 where it is taken as known.
    """

    declared: float | None
    drying: float
    loss: float
    spread: float | None
    washes: tuple[float, float] | None
    dried_when_packed: float | None = None
    spread_from: int = 0

    @property
    def drying_until_declared(self) -> float:
        """Water lost until the declared mass has to be there [kg per kg of mix]."""
        return self.drying if self.dried_when_packed is None else self.dried_when_packed


@dataclass(frozen=True, slots=True, repr=False)
class Supplier(Told):
    """Who materials are bought from.

    Args:
        name: as the shelf names them.
        shipping: of an order [money].
        free_from: value of an order from which shipping costs nothing [money], or ``None``.
        delivery: from order to arrival [days]; 0 where nothing is said.
    """

    name: str
    shipping: float
    free_from: float | None
    delivery: float = 0.0


@dataclass(frozen=True, slots=True, repr=False)
class Packaging(Told):
    """What bars are packed in, bought by the pack.

    Args:
        name: as a box or a label.
        pack: how many a pack holds.
        price: of a pack [money].
        each: how many a bar takes.
    """

    name: str
    pack: int
    price: float
    each: int = 1


@dataclass(frozen=True, slots=True, repr=False)
class Brief(Told):
    """The product.

    Args:
        name: what the maker calls it.
        currency: the currency every price is turned into, as an ISO 4217 code.
        markets: where it is sold ("EU", "AU", "US").
        dilution: mass of bar in a mass of dispersion when pH is read [kg/kg].
        rules: the maker's own rules and those that the markets add, in reading order.
        balances: finest first.
        portioning: fill weight and yield.
        room: room temperature [°C].
        workshop: plain figures of the workshop.
        suppliers: those of whom the brief says what an order costs.
        packaging: what bars are packed in, pack by pack.
        box: what the maker says of the pack.
        purposes: substance -> what it is there for, where the maker said.
    """

    name: str
    currency: str
    markets: tuple[str, ...]
    dilution: float
    rules: tuple[Rule, ...]
    balances: tuple[Balance, ...]
    portioning: Portioning
    room: float
    workshop: Workshop = field(default_factory=Workshop)
    suppliers: tuple[Supplier, ...] = ()
    packaging: tuple[Packaging, ...] = ()
    box: Box = field(default_factory=Box)
    purposes: Mapping[str, Purpose] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Written:
    """What a bench was read from.

    Args:
        files: contents by file name; together with a shelf they say again which rules hold.
        rules: those that they give over the shelf as it is; a brief that differs was changed since.
    """

    files: Mapping[str, str | bytes]
    rules: tuple[Rule, ...]


@dataclass(frozen=True, slots=True, repr=False)
class Bench(Told):
    """A folder read whole, as a value: every ``with_…`` gives another bench.

    Args:
        folder: where it was read, as the maker named it.
        brief: the product and its rules.
        shelf: what can be had, and what stands beside it.
        substances: every substance that the shelf contains.
        stores: every material and substance known, on the shelf or not.
        written: what it was read from; ``None`` for a bench that was built by hand.
        remarks: what stands out in its files and yet may be right.
    """

    folder: str
    brief: Brief
    shelf: tuple[Item, ...]
    substances: Mapping[str, Substance]
    stores: Stores = field(default_factory=Stores, repr=False)
    written: Written | None = field(default=None, repr=False)
    remarks: tuple[Problem, ...] = field(default=(), repr=False)

    def with_rules(self, rules: Iterable[Rule]) -> "Bench":
        """The bench with more rules at the end of its brief."""
        return replace(self, brief=replace(self.brief, rules=(*self.brief.rules, *rules)))

    def with_only(self, rules: Iterable[Rule]) -> "Bench":
        """The bench with these rules instead of those of its brief."""
        return replace(self, brief=replace(self.brief, rules=tuple(rules)))

    def with_price(self, name: str, price: float) -> "Bench":
        """The bench with a material of its shelf at another price [money/kg].

        Raises:
            KeyError: when the shelf has no such material.
        """
        return self._with_item(replace(self.item(name), price=price))

    def with_stock(self, name: str, stock: float | None) -> "Bench":
        """The bench with so much of a material there [kg], or with it uncounted.

        Raises:
            KeyError: when the shelf has no such material.
        """
        return self._with_item(replace(self.item(name), stock=stock))

    def _with_item(self, new: Item) -> "Bench":
        name = new.material.name
        return replace(
            self, shelf=tuple(new if item.material.name == name else item for item in self.shelf)
        )

    @property
    def material_names(self) -> tuple[str, ...]:
        """The name of every material, in shelf order."""
        return tuple(item.material.name for item in self.shelf)

    @property
    def names(self) -> Called:
        """Every name by which a material of the shelf may be called, short ones too."""
        return called(self.shelf)

    @property
    def known_names(self) -> Called:
        """The same with every material that is known but does not stand on the shelf."""
        return Called(self.names | {name: name for name in self.off_the_shelf})

    @property
    def off_the_shelf(self) -> tuple[str, ...]:
        """Materials that are known, but do not stand on the shelf."""
        there = set(self.material_names)
        return tuple(name for name in self.stores.material_names if name not in there)

    def material(self, name: str) -> Material:
        """The material of that name on the shelf.

        Raises:
            KeyError: when the shelf has none.
        """
        return self.item(name).material

    def item(self, name: str) -> Item:
        """The shelf item of that name.

        Raises:
            KeyError: when the shelf has none.
        """
        for item in self.shelf:
            if item.material.name == name:
                return item
        raise KeyError(name)

    @property
    def prices(self) -> tuple[float, ...]:
        """The price of every material, in shelf order [money/kg]."""
        return tuple(item.price for item in self.shelf)

    def parts_of(self, composition: "Composition") -> tuple[tuple[Material, float], ...]:
        """The materials of a composition with their shares [kg/kg].

        Raises:
            KeyError: when it names a material that is not on the shelf.
        """
        return tuple((self.material(name), share) for name, share in composition.parts.items())

    def cost_of(self, composition: "Composition") -> float:
        """Cost of the materials in a kilogram of mix [money/kg].

        Raises:
            KeyError: when the composition names a material that is not on the shelf.
        """
        return sum(self.item(name).price * share for name, share in composition.parts.items())


@dataclass(frozen=True, slots=True, repr=False)
class Composition(Told):
    """Shares of materials in the mix as weighed [kg/kg]; they add to one."""

    name: str
    parts: Mapping[str, float]
