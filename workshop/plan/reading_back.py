"""The answer of a buying problem, back in the words of its horizon."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ...solver.program.outcome import Within
from .bought import NOTHING, Bought, Drawn, Left, Origin, PacksBought, orders_of
from .heap import heaped, is_of
from .horizon import Horizon

Term = tuple[int, float]
"""A column and what is counted for a unit of it."""


@dataclass(frozen=True, slots=True)
class Laid:
    """Which column of a program means what in its horizon.

    Args:
        horizon: what it was laid for.
        makings: [making] columns of each.
        used: (material, week) -> what is used of it, as columns with their kilograms.
        packs: (offer, week) -> the column that counts its packs.
        passing: what must be used by some week -> week -> what is drawn of it, and what is left.
        kept: (material, week) -> what keeps and is there at its end.
        costs: [n] of a unit of each column [money].
    """

    horizon: Horizon
    makings: Sequence[tuple[int, ...]]
    used: Mapping[tuple[str, int], list[Term]]
    packs: Mapping[tuple[int, int], int]
    passing: Mapping[Origin, Mapping[int, tuple[int, int]]]
    kept: Mapping[tuple[str, int], int]
    costs: Sequence[float]

    @property
    def weeks(self) -> range:
        """Every week."""
        return range(1, self.horizon.weeks + 1)

    def drawn(self, name: str, week: int) -> Iterator[int]:
        """What is drawn in a week of what does not keep; it is used, and never put by."""
        for source, columns in self.passing.items():
            if source.material == name and week in columns:
                yield columns[week][0]


def bought_of(laid: Laid, outcome: Within) -> Bought:
    """The answer in the words of the horizon; packs are rounded to whole ones."""
    x = outcome.x
    purchases = tuple(sorted(_purchases(laid, x), key=lambda one: one.week))
    orders = tuple(orders_of(laid.horizon, purchases))
    columns = tuple(tuple(x[column] for column in making) for making in laid.makings)
    drawn, left = _followed(laid, x, purchases)
    passing = [left for one in laid.passing.values() for _, left in one.values()]
    stored = [*laid.kept.values(), *passing]
    storage = laid.horizon.storage * sum(x[column] for column in stored)
    earned = -sum(
        cost * value
        for making, values in zip(laid.horizon.makings, columns, strict=True)
        for cost, value in zip(making.costs, values, strict=True)
    )
    outlay = sum(one.outlay for one in purchases) + sum(one.shipping for one in orders)
    cost = outlay + storage - earned - sum(one.worth for one in left)
    return Bought(purchases, orders, drawn, left, columns, storage, earned, cost, outcome.bound)


def _purchases(laid: Laid, x: Sequence[float]) -> Iterator[PacksBought]:
    for (place, week), column in laid.packs.items():
        offer = laid.horizon.offers[place]
        packs = float(round(x[column])) if offer.pack else x[column]
        if packs > NOTHING:
            yield PacksBought(offer, week, packs, packs * laid.costs[column])


def _followed(
    laid: Laid, x: Sequence[float], purchases: Sequence[PacksBought]
) -> tuple[tuple[Drawn, ...], tuple[Left, ...]]:
    """Where every kilogram that is used came from, and what is left of each source."""
    drawn, left = [], []
    for source, columns in laid.passing.items():
        drawn += [Drawn(source, week, x[column]) for week, (column, _) in columns.items()]
        there = sum(h.mass for h in laid.horizon.holdings if is_of(h, source))
        rest = there if not columns else x[max(columns.items())[1][1]]
        left.append(_left(laid, source, rest, last=bool(columns) and max(columns)))
    for name in laid.horizon.materials():
        of_it, rest_of_it = _pool(laid, name, x, purchases)
        drawn += of_it
        left += rest_of_it
    return (
        tuple(one for one in drawn if one.mass > NOTHING),
        tuple(one for one in left if one.mass > NOTHING),
    )


def _pool(
    laid: Laid, name: str, x: Sequence[float], purchases: Sequence[PacksBought]
) -> tuple[list[Drawn], list[Left]]:
    """What keeps, drawn in the order in which it came."""
    heaps = list(heaped(laid.horizon, name, purchases))
    drawn = []
    for week in laid.weeks:
        used = sum(mass * x[column] for column, mass in laid.used[name, week])
        used -= sum(x[column] for column in laid.drawn(name, week))
        for heap in heaps:
            some = min(used, heap.rest) if heap.source.arrives <= week else 0.0
            if some > 0:
                heap.rest -= some
                used -= some
                drawn.append(Drawn(heap.source, week, some))
    return drawn, [_left(laid, one.source, one.rest, last=laid.horizon.weeks) for one in heaps]


def _left(laid: Laid, source: Origin, mass: float, *, last: int) -> Left:
    worth = laid.horizon.worth.get(source.material, 0.0) if last == laid.horizon.weeks else 0.0
    return Left(source, mass, worth * max(mass, 0.0))
