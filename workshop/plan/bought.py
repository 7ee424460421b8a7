"""What was bought, drawn from stock and left, in the words of a horizon, and a count of it all."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ...constraints.values.problem import CheckFailedError
from .horizon import Carriage, Horizon, Packs

NOTHING = 1e-7
"""Less than this is nothing [kg]."""


@dataclass(frozen=True, slots=True)
class Origin:
    """Some of a material that came at one time: what was there, or what is bought in one week.

    Args:
        material: its name.
        arrives: the first week it may be used; 0 for what is there.
        last: the last week it may be used, ``None`` where it keeps.
        lot: of what is there.
    """

    material: str
    arrives: int
    last: int | None
    lot: str = ""


@dataclass(frozen=True, slots=True)
class PacksBought:
    """Whole packs bought in a week; of what is sold loose, kilograms."""

    offer: Packs
    week: int
    packs: float
    outlay: float

    @property
    def mass(self) -> float:
        """[kg]."""
        return self.packs * self.offer.unit


@dataclass(frozen=True, slots=True)
class Drawn:
    """Some of a material taken from stock in a week [kg]."""

    source: Origin
    week: int
    mass: float


@dataclass(frozen=True, slots=True)
class Shipped:
    """An order of a week: what its goods cost, and what it costs to bring them [money]."""

    supplier: str
    week: int
    goods: float
    shipping: float


@dataclass(frozen=True, slots=True)
class Left:
    """What is left of a source at the end [kg], and what that counts for [money]."""

    source: Origin
    mass: float
    worth: float


@dataclass(frozen=True, slots=True)
class Bought:
    """The best buying of a horizon that was found.

    Args:
        purchases: in order of week.
        orders: by supplier and week.
        drawn: what is taken from stock.
        left: what remains.
        columns: of each making, in order.
        storage: what storing costs [money].
        earned: what is sold by mass brings [money].
        cost: purchases, shipping and storage, less what is earned and what is left [money].
        bound: no buying costs less [money].
    """

    purchases: tuple[PacksBought, ...]
    orders: tuple[Shipped, ...]
    drawn: tuple[Drawn, ...]
    left: tuple[Left, ...]
    columns: tuple[tuple[float, ...], ...]
    storage: float
    earned: float
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        """How far from proved best it may be, as a share of its cost [-]."""
        apart = max(self.cost - self.bound, 0.0)
        return 0.0 if apart <= 1e-9 else apart / max(abs(self.cost), 1e-9)


def orders_of(horizon: Horizon, purchases: tuple[PacksBought, ...]) -> Iterator[Shipped]:
    """What is ordered of each supplier in each week, and what bringing it costs."""
    carriages = {one.supplier: one for one in horizon.carriages}
    goods: defaultdict[tuple[int, str], float] = defaultdict(float)
    for one in purchases:
        goods[one.week, one.offer.supplier] += one.outlay
    for (week, supplier), value in sorted(goods.items()):
        yield Shipped(supplier, week, value, shipping_of(carriages.get(supplier), value))


def shipping_of(carriage: Carriage | None, goods: float) -> float:
    """What an order of goods costs to bring [money]."""
    if carriage is None:
        return 0.0
    free = carriage.free_from is not None and goods >= carriage.free_from - 1e-9
    return 0.0 if free else carriage.shipping


def counted_again(horizon: Horizon, found: Bought) -> None:
    """Count every kilogram and every coin again, from the answer alone."""
    came: defaultdict[Origin, float] = defaultdict(float)
    for held in horizon.holdings:
        came[Origin(held.material, 0, held.last, held.lot)] += held.mass
    for one in found.purchases:
        last = None if one.offer.keeps is None else one.week + one.offer.keeps - 1
        came[Origin(one.offer.material, one.week, last)] += one.mass
        _must(one.mass >= one.offer.least - _slack(one.mass), "less is bought than is sold at once")
    went: defaultdict[Origin, float] = defaultdict(float)
    for drawn in found.drawn:
        went[drawn.source] += drawn.mass
        early, last = drawn.week < drawn.source.arrives, drawn.source.last
        _must(not early, "something is used before it comes")
        _must(last is None or drawn.week <= last, "something is used after its day")
    for source, mass in went.items():
        _must(mass <= came[source] + _slack(mass), "more is used than is there")
    short = max(map(abs, _unmatched(horizon, found).values()), default=0.0)
    _must(short <= _slack(sum(went.values())), "what is used is not what is drawn")
    nearly = 1e-6 * max(1.0, abs(found.bound))
    _must(found.cost >= found.bound - nearly, "it costs less than any can")


def _unmatched(horizon: Horizon, found: Bought) -> Mapping[tuple[str, int], float]:
    """(material, week) -> what is drawn less what is used [kg]."""
    rest: defaultdict[tuple[str, int], float] = defaultdict(float)
    for drawn in found.drawn:
        rest[drawn.source.material, drawn.week] += drawn.mass
    for making, columns in zip(horizon.makings, found.columns, strict=True):
        for name, value in zip(making.materials, columns, strict=False):
            for week, per in enumerate(making.uses, start=1):
                rest[name, week] -= per * value
    return rest


def _slack(mass: float) -> float:
    """A hundredth of a gram, or as little beside a large mass [kg]."""
    return 1e-5 + 1e-7 * abs(mass)


def _must(kept: bool, broken: str) -> None:
    if not kept:
        raise CheckFailedError(f"a plan does not add up: {broken}")
