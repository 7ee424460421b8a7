"""What a batch, a bar and a wash cost."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import ceil, fsum

from ...constraints.market.practice import figure
from ...constraints.model.brief import Bench
from ...constraints.model.shelf import Item
from ...constraints.values.problem import Source
from ...constraints.values.told import Told
from ...constraints.values.units import Dimension
from ..weighing.weight import decimal
from .beside import Beside, PackagingBought, beside_of


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


@dataclass(frozen=True, slots=True, repr=False)
class Costing(Told):
    """What a batch costs, and a bar and a wash of it.

    Args:
        bars: bars that the batch yields.
        sold: bars of them that are sold, on average.
        materials: price of what is weighed [money].
        purchases: what has to be bought in whole packs to make it, in the order of the batch.
        packaging: of all bars, of packs what is used [money]; ``None`` where it was not given and
            is not counted.
        packs: what has to be bought of packaging in whole packs.
        labour: of the batch [money]; ``None`` where it was not given and is not counted.
        a_bar: cost of a bar that is sold, materials at the price of what is used [money].
        a_bar_bought: the same, materials at the price of the whole packs to buy [money].
        a_wash: cost of a wash, (most washes, fewest washes) a bar [money].
        washes: washes a bar lasts, (fewest, most).
        washes_source: where the washes come from; ``None`` where the brief says.
    """

    bars: int
    sold: float
    materials: float
    purchases: tuple[Bought, ...]
    packaging: float | None
    packs: tuple[PackagingBought, ...]
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
        packs = (pack.money - pack.used for pack in self.packs)
        return fsum((*bought, *packs, self.packaging or 0.0, self.labour or 0.0))


def costing(
    bench: Bench, masses: Mapping[str, float], bars: int, beside: Beside | None = None
) -> Costing:
    """Cost a batch.

    Args:
        bench: prices, packs and stock.
        masses: material -> what the batch takes of it [kg].
        bars: bars that it yields, at least one.
        beside: packaging, labour and rejects; by default as the brief says.

    Raises:
        KeyError: when the shelf has no such material.
        ValueError: for less than one bar, or where all are rejected.
    """
    said = beside_of(bench) if beside is None else beside
    if bars < 1 or not said.rejects < 1:
        message = "a batch yields one bar to sell at least"
        raise ValueError(message)
    items = {name: bench.item(name) for name in masses}
    materials = fsum(items[name].price * mass for name, mass in masses.items())
    purchases = tuple(bought(items[name], mass) for name, mass in masses.items())
    packs, packaging = said.packs_for(bars), said.packaging_for(bars)
    washes, source = _washes(bench)
    sold = bars * (1 - said.rejects)
    found = Costing(
        bars=bars,
        sold=sold,
        materials=materials,
        purchases=purchases,
        packaging=packaging,
        packs=packs,
        labour=said.labour,
        a_bar=fsum((materials, packaging or 0.0, said.labour or 0.0)) / sold,
        a_bar_bought=0.0,
        a_wash=(0.0, 0.0),
        washes=washes,
        washes_source=source,
    )
    a_wash = (found.a_bar / washes[1], found.a_bar / washes[0])
    return replace(found, a_bar_bought=found.outlay / sold, a_wash=a_wash)


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


def _washes(bench: Bench) -> tuple[tuple[float, float], Source | None]:
    own = bench.brief.portioning.washes
    if own is not None:
        return own, None
    usual = figure("washes a bar", Dimension.RATIO)
    return (usual.span.low, usual.span.high), usual.source
