"""Some weeks of a workshop as a buying problem: what is there, what can be bought, what is made.

Weeks are counted from 1. What is bought in a week is there for that week; what is left at its end
is stored. Materials are told apart by name.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import inf

from ...constraints.model.row import Row


@dataclass(frozen=True, slots=True)
class Holding:
    """Some of a material that is there when the first week begins.

    Args:
        material: its name.
        mass: [kg].
        last: the last week in which it may be used, or ``None`` where it keeps.
        lot: as its supplier numbers it, or empty.
    """

    material: str
    mass: float
    last: int | None = None
    lot: str = ""


@dataclass(frozen=True, slots=True)
class Packs:
    """One way to buy a material.

    Args:
        material: its name.
        supplier: who sells it, or empty.
        pack: mass of a pack [kg]; 0 where it is sold loose, by the kilogram.
        prices: [weeks] of a pack, or of a kilogram where loose, that arrives in a week [money];
            ``None`` in a week in which it cannot be there.
        least: the least that is sold at once [kg].
        keeps: weeks it may be used, that of its arrival counted, or ``None`` where it keeps.
        delivery: from order to arrival [days].
    """

    material: str
    supplier: str
    pack: float
    prices: tuple[float | None, ...]
    least: float = 0.0
    keeps: int | None = None
    delivery: float = 0.0

    @property
    def unit(self) -> float:
        """Mass of what is counted [kg]: a pack, or a kilogram."""
        return self.pack or 1.0


@dataclass(frozen=True, slots=True)
class Carriage:
    """What an order from a supplier costs besides its goods.

    Args:
        supplier: their name.
        shipping: of the orders of one week together [money].
        free_from: value of a week's order from which it costs nothing [money], or ``None``.
    """

    supplier: str
    shipping: float
    free_from: float | None = None


@dataclass(frozen=True, slots=True)
class Making:
    """Something made in one week or several, as columns and rows of its own.

    The first columns are its materials. With shares as columns, ``uses`` is the mass that is made
    in each week; with masses as columns it is 1.

    Args:
        name: what it is.
        materials: of the first columns.
        uses: [weeks] mass taken from stock for each unit of a material column [kg].
        rows: over its columns.
        costs: [n] of a unit of each column [money]; negative where it earns.
        lower: [n] least of each column.
        upper: [n] most of each column.
        whole: [n] whether a column takes whole numbers only.
    """

    name: str
    materials: tuple[str, ...]
    uses: tuple[float, ...]
    rows: tuple[Row, ...]
    costs: tuple[float, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    whole: tuple[bool, ...]


def fixed(name: str, shares: Mapping[str, float], masses: tuple[float, ...]) -> Making:
    """A formula that stays as it is.

    Args:
        name: what it is.
        shares: of its materials [kg/kg].
        masses: [weeks] mix made in each week [kg].
    """
    held = tuple(shares.values())
    return Making(
        name, tuple(shares), masses, (), (0.0,) * len(held), held, held, (False,) * len(held)
    )


def sold_by_mass(
    name: str,
    materials: tuple[str, ...],
    week: int,
    weeks: int,
    *,
    worth: float,
    shares: tuple[Row, ...] = (),
    masses: tuple[Row, ...] = (),
    choices: int = 0,
    between: tuple[float, float] = (0.0, inf),
) -> Making:
    """A blend of which as much is made in a week as pays.

    Args:
        name: what it is.
        materials: it may be made of.
        week: in which it is made.
        weeks: how many there are.
        worth: what it sells for [money/kg].
        shares: rows over the shares of the materials.
        masses: rows over the masses [kg] and, after them, the choices.
        choices: how many columns of 0 or 1 there are.
        between: least and most that is made [kg].
    """
    n = len(materials)
    everything = tuple(range(n))
    amount = Row("", "made", everything, (1.0,) * n, *between)
    return Making(
        name=name,
        materials=materials,
        uses=tuple(float(each == week) for each in range(1, weeks + 1)),
        rows=(amount, *(one for row in shares for one in _by_mass(row, n)), *masses),
        costs=(-worth,) * n + (0.0,) * choices,
        lower=(0.0,) * (n + choices),
        upper=(inf,) * n + (1.0,) * choices,
        whole=(False,) * n + (True,) * choices,
    )


def _by_mass(row: Row, n: int) -> Iterator[Row]:
    """A row over shares as rows over masses: ``a·x ≥ low`` is ``Σ (a − low)·m ≥ 0``."""
    held = dict(zip(row.columns, row.values, strict=True))
    for limit, low, high in ((row.low, 0.0, inf), (row.high, -inf, 0.0)):
        if abs(limit) < inf:
            values = {column: held.get(column, 0.0) - limit for column in range(n)}
            kept = {column: value for column, value in values.items() if value}
            yield Row(row.rule, row.part, tuple(kept), tuple(kept.values()), low, high)


@dataclass(frozen=True, slots=True)
class Capacity:
    """So much of some materials can be used in a week at most [kg]."""

    materials: tuple[str, ...]
    most: float


@dataclass(frozen=True, slots=True)
class Horizon:
    """Everything that a plan is made from.

    Args:
        weeks: how many there are.
        holdings: what is there.
        offers: what can be bought.
        carriages: what orders cost besides.
        makings: what is made.
        capacities: what can be used in a week.
        storage: of a kilogram that is there at the end of a week [money].
        most_stored: of each material at the end of a week [kg].
        closing: material -> what must be there at the end, no more and no less [kg].
        worth: material -> what a kilogram left at the end counts for [money/kg]; nothing for a
            material that is not named, or that may not be used any more.
    """

    weeks: int
    holdings: tuple[Holding, ...]
    offers: tuple[Packs, ...]
    carriages: tuple[Carriage, ...]
    makings: tuple[Making, ...]
    capacities: tuple[Capacity, ...] = ()
    storage: float = 0.0
    most_stored: float = inf
    closing: Mapping[str, float] = field(default_factory=dict)
    worth: Mapping[str, float] = field(default_factory=dict)

    def materials(self) -> tuple[str, ...]:
        """Every material in it, each once."""
        held = [one.material for one in self.holdings]
        offered = [one.material for one in self.offers]
        used = [name for one in self.makings for name in one.materials]
        return tuple(dict.fromkeys([*held, *offered, *used]))
