"""What a batch, a bar and a wash cost, and what to ask for a bar."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil, fsum

from ...constraints.market.practice import figure
from ...constraints.model.brief import Bench
from ...constraints.model.shelf import Item
from ...constraints.values.problem import Source
from ...constraints.values.units import Dimension
from ..weighing.weight import decimal


@dataclass(frozen=True, slots=True)
class Bought:
    """What of one material has to be bought for a batch.

    Args:
        material: its name.
        needed: mass that the batch takes [kg].
        stock: counted stock [kg]; ``None`` where it was not counted, and then taken as nothing.
        packs: whole packs to buy.
        pack: mass of one pack [kg].
        money: price of these packs [money].
        left: stock when the batch is made [kg].
    """

    material: str
    needed: float
    stock: float | None
    packs: int
    pack: float
    money: float
    left: float


@dataclass(frozen=True, slots=True)
class Costing:
    """What a batch costs, and a bar and a wash of it.

    Args:
        bars: bars that the batch yields.
        materials: price of what is weighed [money].
        purchases: what has to be bought in whole packs to make it, in the order of the batch.
        packaging: of all bars [money]; ``None`` where it was not given and is not counted.
        labour: of the batch [money]; ``None`` where it was not given and is not counted.
        a_bar: cost of a bar, materials at the price of what is used [money].
        a_bar_bought: the same, materials at the price of the whole packs to buy [money].
        a_wash: cost of a wash, (most washes, fewest washes) a bar [money].
        washes: washes a bar lasts, (fewest, most).
        washes_source: where the washes come from; ``None`` where the brief says.
    """

    bars: int
    materials: float
    purchases: tuple[Bought, ...]
    packaging: float | None
    labour: float | None
    a_bar: float
    a_bar_bought: float
    a_wash: tuple[float, float]
    washes: tuple[float, float]
    washes_source: Source | None

    @property
    def total(self) -> float:
        """Cost of the batch, materials at the price of what is used [money]."""
        return fsum((self.materials, self.packaging or 0.0, self.labour or 0.0))

    @property
    def outlay(self) -> float:
        """Cost of the batch, materials at the price of the whole packs to buy [money]."""
        bought = (purchase.money for purchase in self.purchases)
        return fsum((*bought, self.packaging or 0.0, self.labour or 0.0))


@dataclass(frozen=True, slots=True)
class Asking:
    """A price and what it leaves.

    Args:
        cost: of a bar [money].
        margin: what is left of the net price, as a share of it; negative when sold below cost.
        net: price without tax [money].
        gross: price with tax [money].
        left: what is left of the net price [money].
    """

    cost: float
    margin: float
    net: float
    gross: float
    left: float


def costing(
    bench: Bench,
    masses: Mapping[str, float],
    bars: int,
    *,
    packaging_a_bar: float | None = None,
    labour: float | None = None,
) -> Costing:
    """Cost a batch.

    Args:
        bench: prices, packs and stock.
        masses: material -> what the batch takes of it [kg].
        bars: bars that it yields, at least one.
        packaging_a_bar: wrapper, box and label of a bar [money].
        labour: paid for making the batch [money].

    Raises:
        KeyError: when the shelf has no such material.
        ValueError: for less than one bar.
    """
    if bars < 1:
        message = "a batch yields one bar at least"
        raise ValueError(message)
    items = {name: bench.item(name) for name in masses}
    materials = fsum(items[name].price * mass for name, mass in masses.items())
    purchases = tuple(bought(items[name], mass) for name, mass in masses.items())
    packaging = None if packaging_a_bar is None else packaging_a_bar * bars
    beside = fsum((packaging or 0.0, labour or 0.0))
    washes, source = _washes(bench)
    a_bar = (materials + beside) / bars
    return Costing(
        bars=bars,
        materials=materials,
        purchases=purchases,
        packaging=packaging,
        labour=labour,
        a_bar=a_bar,
        a_bar_bought=fsum((*(one.money for one in purchases), beside)) / bars,
        a_wash=(a_bar / washes[1], a_bar / washes[0]),
        washes=washes,
        washes_source=source,
    )


def bought(item: Item, needed_kg: float) -> Bought:
    """How many packs have to be bought so that there is enough of a material."""
    stock = decimal(item.stock or 0.0)
    short = decimal(needed_kg) - stock
    packs = max(0, ceil(short / decimal(item.pack)))
    return Bought(
        material=item.material.name,
        needed=needed_kg,
        stock=item.stock,
        packs=packs,
        pack=item.pack,
        money=float(packs * decimal(item.pack) * decimal(item.price)),
        left=float(packs * decimal(item.pack) - short),
    )


def price_at(cost: float, margin: float, tax: float = 0.0) -> Asking:
    """The price that leaves a margin.

    Args:
        cost: of a bar [money].
        margin: share of the net price to be left, below 1.
        tax: sales tax on the net price, 0.19 for 19 %.

    Raises:
        ValueError: when no price leaves such a margin, or the tax is negative.

    >>> price_at(3.0, 0.4, 0.2)
    Asking(cost=3.0, margin=0.4, net=5.0, gross=6.0, left=2.0)
    """
    if not margin < 1 or tax < 0:
        message = f"no price leaves a margin of {margin} at a tax of {tax}"
        raise ValueError(message)
    net = cost / (1 - margin)
    return Asking(cost, margin, net, net * (1 + tax), net - cost)


def margin_at(cost: float, gross: float, tax: float = 0.0) -> Asking:
    """What a price leaves.

    Raises:
        ValueError: for a price of nothing, or a negative tax.
    """
    if not gross > 0 or tax < 0:
        message = f"a price of {gross} at a tax of {tax} says nothing of margins"
        raise ValueError(message)
    net = gross / (1 + tax)
    return Asking(cost, (net - cost) / net, net, gross, net - cost)


def price_list(cost: float, margins: Iterable[float], tax: float = 0.0) -> tuple[Asking, ...]:
    """The price at each margin, as ``price_at``."""
    return tuple(price_at(cost, margin, tax) for margin in margins)


def _washes(bench: Bench) -> tuple[tuple[float, float], Source | None]:
    own = bench.brief.portioning.washes
    if own is not None:
        return own, None
    usual = figure("washes a bar", Dimension.RATIO)
    return (usual.span.low, usual.span.high), usual.source
