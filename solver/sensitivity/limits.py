"""One-sided shadow prices: what it is worth to move each limit of a row, each way, and how far.

An optimum of a blend is often degenerate: its row prices are then not unique, a solver prints one
of many, and moving a limit up or down costs something else each way. Here a limit is really moved:
the exact optimum is followed as a function of it, over every corner, by pivots in rationals. The
slope on the first stretch is the one-sided price, the length of the stretches with that slope is
its reach. With whole-number columns everything holds for the choice made.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import isfinite

from ...constraints.model.row import Row
from ..program.outcome import Program
from ..proof.optimum import Drift
from ..proof.proved import Unproved
from .ground import Answer, Ground, ground_of
from .walk import limit_walk


class Side(StrEnum):
    """Which limit of a row moves; of an equation, both at once."""

    LOW = "low"
    HIGH = "high"
    BOTH = "both"


@dataclass(frozen=True, slots=True)
class Step:
    """Moving a limit one way.

    Args:
        price: d cost / d limit, or ``None`` where no point keeps the rows that way.
        reach: how far the price holds; ``None`` without end.
        last: whether no point keeps the rows past the reach.
    """

    price: Fraction | None
    reach: Fraction | None
    last: bool


@dataclass(frozen=True, slots=True)
class LimitPrice:
    """A limit of row number ``row``: what it is worth to lower it and to raise it."""

    row: int
    side: Side
    down: Step
    up: Step


def limit_prices(
    program: Program, answer: Answer, rows: Iterable[int] | None = None
) -> tuple[LimitPrice, ...] | Unproved:
    """The one-sided prices of the limits of some rows, or of all.

    The two limits of an equation move as one; a row open on both sides has none.
    """
    ground = ground_of(program, answer)
    if isinstance(ground, Unproved):
        return ground
    places = range(len(program.rows)) if rows is None else rows
    return tuple(price for row in places for price in prices_of_row(ground, program, row))


def prices_of_row(ground: Ground, program: Program, row: int) -> Iterator[LimitPrice]:
    """The one-sided prices of the limits of one row."""
    for side in sides_of(program.rows[row]):
        yield price_of_limit(ground, row, side)


def price_of_limit(ground: Ground, row: int, side: Side) -> LimitPrice:
    """The one-sided prices of one limit of a row."""
    down, up = (_step(ground, row, side, sign) for sign in (-1, +1))
    return LimitPrice(row, side, down=down, up=up)


def sides_of(row: Row) -> tuple[Side, ...]:
    """The limits that a row has; those of an equation move as one."""
    if row.low == row.high:
        return (Side.BOTH,)
    return (Side.LOW,) * isfinite(row.low) + (Side.HIGH,) * isfinite(row.high)


def drift_of(ground: Ground, row: int, side: Side, sign: int) -> Drift:
    """A limit of a row moving one way, as a drift of the row's activity."""
    i = ground.exact.kept.index(row)
    rate = sign * ground.box.unit * ground.exact.row_scales[i]
    return Drift(
        ground.exact.width + i,
        0 if side is Side.HIGH else rate,
        0 if side is Side.LOW else rate,
    )


def _step(ground: Ground, row: int, side: Side, sign: int) -> Step:
    loosens = (side is Side.LOW) == (sign < 0) and side is not Side.BOTH
    if loosens and ground.exact.kept.index(row) not in ground.stand.rows:
        # Its price is 0 at this optimum, and loosening can only lower a price.
        return Step(Fraction(0), None, last=False)
    first, reach, last = None, Fraction(0), True
    for stretch in limit_walk(ground, drift_of(ground, row, side, sign)):
        if first is None:
            first = stretch.slope
        if stretch.slope != first:
            last = False
            break
        if stretch.stop is None:
            return Step(sign * first, None, last=False)
        reach = stretch.stop
    return Step(None if first is None else sign * first, reach, last)
