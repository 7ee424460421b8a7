"""Shelves, formulas and terms as the horizon that a plan is made from."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from ...constraints.model.brief import Bench, Supplier
from ...constraints.model.shelf import Item, Offer
from ...constraints.model.wanted import PriceFrom
from ...constraints.values.names import folded
from ...constraints.values.told import Told
from .composing import Asked, making_of
from .horizon import Carriage, Holding, Horizon, Packs


@dataclass(frozen=True, slots=True, repr=False)
class Terms(Told):
    """What a plan may assume.

    Args:
        first_day: the first day of week 1.
        likeness: how much of a bar may be other substances than today, where formulas are free
            [kg/kg]; ``None`` where they stay as they are.
        worth: what is left counts for this share of its price [-].
        storage: of a kilogram that is there at the end of a week [money].
        prices: those that change.
        gap: stop as soon as no plan can cost less by more than this share [-].
    """

    first_day: date
    likeness: float | None = None
    worth: float = 0.0
    storage: float = 0.0
    prices: tuple[PriceFrom, ...] = ()
    gap: float = 0.01


def items_of(benches: Iterable[Bench]) -> Mapping[str, Item]:
    """Every material on the shelves of some benches, each once."""
    items: dict[str, Item] = {}
    for bench in benches:
        for item in bench.shelf:
            items.setdefault(item.material.name, item)
    return items


def horizon_of(
    asked: Sequence[Asked], items: Mapping[str, Item], weeks: int, terms: Terms
) -> Horizon:
    """What is there, can be bought and is made, for some bars over some weeks."""
    makings = tuple(making_of(one) for one in asked)
    used = {name for one in makings for name in one.materials}
    there = [item for name, item in items.items() if name in used]
    suppliers = {each.name: each for one in asked for each in one.bench.brief.suppliers}
    return Horizon(
        weeks=weeks,
        holdings=tuple(held for item in there for held in _held(item, terms.first_day)),
        offers=tuple(one for item in there for one in _packs(item, weeks, terms.prices, suppliers)),
        carriages=tuple(Carriage(s.name, s.shipping, s.free_from) for s in suppliers.values()),
        makings=makings,
        storage=terms.storage,
        worth={item.material.name: terms.worth * item.price for item in there},
    )


def _held(item: Item, first_day: date) -> Iterator[Holding]:
    """What is there; of some of it it is known until when it is good."""
    name = item.material.name
    if item.stock is not None and not item.lots:
        yield Holding(name, item.stock)
    for lot in item.lots:
        yield Holding(name, lot.mass, _last_week(lot.best_before, first_day), lot.name)


def _last_week(best_before: str, first_day: date) -> int | None:
    """The last week all of which lies before or on a day; 0 for none."""
    if not best_before:
        return None
    days = (date.fromisoformat(best_before) - first_day).days + 1
    return max(days // 7, 0)


def _packs(
    item: Item, weeks: int, changes: Sequence[PriceFrom], suppliers: Mapping[str, Supplier]
) -> Iterator[Packs]:
    name = item.material.name
    if not item.offers and item.available:
        yield Packs(name, "", item.pack, (item.price * item.pack,) * weeks)
    for offer in item.offers:
        if offer.available:
            prices = tuple(_prices(name, offer, weeks, changes))
            days = _delivery(offer, suppliers)
            yield Packs(
                name, offer.supplier, offer.pack, _arriving(prices, days), offer.least, None, days
            )


def _delivery(offer: Offer, suppliers: Mapping[str, Supplier]) -> float:
    """From order to arrival [days]."""
    known = suppliers.get(offer.supplier)
    return 0.0 if known is None else known.delivery


def _arriving(prices: tuple[float, ...], days: float) -> tuple[float | None, ...]:
    """The price of what arrives in each week, at that of the week in which it is ordered.

    Nothing is ordered before the first day, so that nothing arrives before the way has been gone.
    """
    ahead = ceil(days / 7)
    return (*(None,) * min(ahead, len(prices)), *prices[: max(0, len(prices) - ahead)])


def order_by(first_day: date, week: int, days: float) -> date:
    """The last day on which to order what has to be there when a week begins.

    >>> order_by(date(2026, 11, 23), 3, 10)
    datetime.date(2026, 11, 27)
    """
    return first_day + timedelta(days=7 * (week - 1) - ceil(days))


def too_late(asked: Sequence[Asked], items: Mapping[str, Item]) -> Iterator[tuple[str, float, int]]:
    """What the formulas of today need before any supplier can bring it [kg], and from which week.

    A material that is there in time, or that nobody offers, is not among them.
    """
    suppliers = {each.name: each for one in asked for each in one.bench.brief.suppliers}
    for name, needed in _needed(asked).items():
        item = items[name]
        ways = [_delivery(offer, suppliers) for offer in item.offers if offer.available]
        ahead = ceil(min(ways, default=0.0) / 7)
        early = sum(needed[:ahead]) - (item.stock or 0.0)
        if ways and early > 0:
            yield name, early, ahead + 1


def _needed(asked: Sequence[Asked]) -> Mapping[str, list[float]]:
    """Material -> [weeks] what the formulas of today take of it [kg]."""
    needed: dict[str, list[float]] = {}
    for one in asked:
        for name, share in one.formula.parts.items():
            weeks = needed.setdefault(name, [0.0] * len(one.masses))
            for week, mass in enumerate(one.masses):
                weeks[week] += share * mass
    return needed


def _prices(name: str, offer: Offer, weeks: int, changes: Sequence[PriceFrom]) -> Iterator[float]:
    price = offer.price
    for week in range(1, weeks + 1):
        for change in changes:
            if change.week == week and _meant(change, name, offer):
                price = change.price
        yield price


def _meant(change: PriceFrom, name: str, offer: Offer) -> bool:
    supplier = not change.supplier or folded(change.supplier) == folded(offer.supplier)
    return change.material == name and supplier and change.pack in (None, offer.pack)


def missing(asked: Sequence[Asked], items: Mapping[str, Item]) -> Iterator[tuple[str, float]]:
    """What the formulas of today need and nobody has or offers [kg]."""
    for name, weeks in _needed(asked).items():
        item, mass = items[name], sum(weeks)
        if not item.available and mass > (item.stock or 0.0):
            yield name, mass - (item.stock or 0.0)
