"""What each limit and each price is worth, exactly, one side at a time.

An optimum of a blend is often degenerate: its row prices are then not unique, a solver prints one
of many, and moving a limit up or down costs something else each way. Here a limit (or a price) is
really moved: the exact optimum is followed as a function of it, over every corner, by
pivots in rationals. The slope on the first stretch is the one-sided price, the length of the
stretches with that slope is its reach.

With whole-number columns everything holds for the choice made: those columns stay as they are, and
every result names them in ``choice``.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise
from math import isfinite

from ...constraints.model.row import Row
from ..program.outcome import Optimal, Program, exactly
from ..proof.exact import point, stand_from_basis, stand_from_point
from ..proof.optimum import Drift, Kind
from ..proof.proof import ProvedGap, ProvedOptimal, Refusal, Unproved, Vertex, choice_of, resolve
from ..proof.scaled import exact_program
from ..proof.simplex import is_fixed, objective, optimise, reduced_costs
from .walk import Ground, Stretch, limit_walk, price_walk

Answer = Optimal | ProvedOptimal | ProvedGap
Choice = tuple[tuple[int, int], ...]


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


@dataclass(frozen=True, slots=True)
class ColumnPrice:
    """A column's price and the range of prices over which this very point stays optimal.

    Args:
        column: its index.
        low: lower end of that range; ``None`` without end.
        high: upper end of that range; ``None`` without end.
        comes_in: for a column at its lower bound, the highest price at which an optimal answer
            uses (more of) it; ``None`` for the others, or where no price would bring it in.
    """

    column: int
    low: Fraction | None
    high: Fraction | None
    comes_in: Fraction | None


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """Every limit and every column, under the choice of whole-number columns named."""

    limits: tuple[LimitPrice, ...]
    columns: tuple[ColumnPrice, ...]
    choice: Choice


@dataclass(frozen=True, slots=True)
class Curve:
    """Cost as a function of one number: straight between the points.

    Args:
        points: (limit or price, cost), ascending; only as far as there is an answer, so that the
            ends tell where answers end.
        choice: the whole-number columns held as they are.
    """

    points: tuple[tuple[Fraction, Fraction], ...]
    choice: Choice

    def cost_at(self, place: Fraction) -> Fraction | None:
        """The cost at one place, ``None`` outside the curve."""
        for (a, cost_a), (b, cost_b) in pairwise(self.points):
            if a <= place <= b:
                return cost_a + (cost_b - cost_a) * (place - a) / (b - a)
        return next((cost for at, cost in self.points if at == place), None)


def sensitivity(program: Program, answer: Answer) -> Sensitivity | Unproved:
    """One-sided prices of all limits and price ranges of all columns.

    Args:
        program: what was solved.
        answer: its optimum; where whole-number columns are, their values are held.
    """
    limits, columns = limit_prices(program, answer), column_prices(program, answer)
    if isinstance(limits, Unproved):
        return limits
    if isinstance(columns, Unproved):
        return columns
    return Sensitivity(limits, columns, _held(program, answer))


def limit_prices(
    program: Program, answer: Answer, rows: Iterable[int] | None = None
) -> tuple[LimitPrice, ...] | Unproved:
    """The one-sided prices of the limits of some rows, or of all.

    The two limits of an equation move as one; a row open on both sides has none.
    """
    ground = _ground(program, answer)
    if isinstance(ground, Unproved):
        return ground
    return tuple(
        LimitPrice(
            row,
            side,
            down=_step(ground, program, row, side, -1),
            up=_step(ground, program, row, side, +1),
        )
        for row in (range(len(program.rows)) if rows is None else rows)
        for side in _sides(program.rows[row])
    )


def column_prices(program: Program, answer: Answer) -> tuple[ColumnPrice, ...] | Unproved:
    """The price range of every column that is not a choice."""
    ground = _ground(program, answer)
    if isinstance(ground, Unproved):
        return ground
    return tuple(
        _column_price(ground, program, j) for j, whole in enumerate(program.whole) if not whole
    )


def limit_curve(
    program: Program, answer: Answer, limit: tuple[int, Side], start: float, end: float
) -> Curve | Unproved:
    """The exact least cost as a convex function of one limit (row, side) over an interval.

    Raises:
        ValueError: the row has no such limit, or the interval is not one.
    """
    ground = _ground(program, answer)
    if isinstance(ground, Unproved):
        return ground
    (row, side), line = limit, program.rows[limit[0]]
    origin = line.high if side is Side.HIGH else line.low
    if not isfinite(origin) or (side is Side.BOTH and line.low != line.high):
        raise ValueError(f"row {row} has no limit {side.value}")

    def walk(sign: int) -> Iterator[Stretch]:
        return limit_walk(ground, _drift(ground, row, side, sign))

    points = _curve(ground, walk, exactly(origin), (start, end))
    return Curve(points, _held(program, answer))


def price_curve(
    program: Program, answer: Answer, column: int, start: float, end: float
) -> Curve | Unproved:
    """The exact least cost as a concave function of one column's price.

    Raises:
        ValueError: the interval is not one.
    """
    ground = _ground(program, answer)
    if isinstance(ground, Unproved):
        return ground

    def walk(sign: int) -> Iterator[Stretch]:
        return price_walk(ground, column, sign)

    points = _curve(ground, walk, exactly(program.costs[column]), (start, end))
    return Curve(points, _held(program, answer))


def moved(program: Program, answer: Answer, rows: Mapping[int, Row]) -> Vertex | Refusal:
    """The exact optimum after some rows are put in place of others, from the old basis.

    For limits that stand in coefficients, such as a ratio's; the choice is held.
    """
    lines = tuple(rows.get(i, row) for i, row in enumerate(program.rows))
    held = conditioned(replace(program, rows=lines), answer)
    return resolve(held, answer.basis)


def conditioned(program: Program, answer: Answer) -> Program:
    """The program with its whole-number columns held at the answer's values."""
    choice = choice_of(program, answer.x)

    def held(bounds: Sequence[float]) -> tuple[float, ...]:
        return tuple(float(choice.get(j, bound)) for j, bound in enumerate(bounds))

    plain = (False,) * len(program.whole)
    return replace(program, lower=held(program.lower), upper=held(program.upper), whole=plain)


def _held(program: Program, answer: Answer) -> Choice:
    return tuple(choice_of(program, answer.x).items())


def _ground(program: Program, answer: Answer) -> Ground | Unproved:
    exact = exact_program(conditioned(program, answer))
    start = (
        stand_from_point(exact, answer.x)
        if answer.basis is None
        else stand_from_basis(exact, answer.basis)
    )
    end = optimise(exact, exact.box, start, exact.costs)
    if end.kind is not Kind.OPTIMAL:
        return Unproved("there is no exact optimum to measure from")
    return Ground(exact, exact.box, end.stand)


def _sides(row: Row) -> tuple[Side, ...]:
    if row.low == row.high:
        return (Side.BOTH,)
    return (Side.LOW,) * isfinite(row.low) + (Side.HIGH,) * isfinite(row.high)


def _drift(ground: Ground, row: int, side: Side, sign: int) -> Drift:
    i = ground.exact.kept.index(row)
    rate = sign * ground.box.unit * ground.exact.row_scales[i]
    return Drift(
        ground.exact.width + i,
        0 if side is Side.HIGH else rate,
        0 if side is Side.LOW else rate,
    )


def _step(ground: Ground, program: Program, row: int, side: Side, sign: int) -> Step:
    loosens = (side is Side.LOW) == (sign < 0) and side is not Side.BOTH
    if loosens and ground.exact.kept.index(row) not in ground.stand.rows:
        # Its price is 0 at this optimum, and loosening can only lower a price.
        return Step(Fraction(0), None, last=False)
    first, reach, last = None, Fraction(0), True
    for stretch in limit_walk(ground, _drift(ground, row, side, sign)):
        if first is None:
            first = stretch.slope
        if stretch.slope != first:
            last = False
            break
        if stretch.stop is None:
            return Step(sign * first, None, last=False)
        reach = stretch.stop
    return Step(None if first is None else sign * first, reach, last)


def _column_price(ground: Ground, program: Program, column: int) -> ColumnPrice:
    exact, box = ground.exact, ground.box
    price = exactly(program.costs[column])
    x = point(exact, box, ground.stand).fraction(column, box.unit)
    low, high = (_price_reach(ground, column, sign, x) for sign in (-1, +1))
    low = None if low is None else price - low
    high = None if high is None else price + high
    resting = not is_fixed(box, column) and x == exactly(program.lower[column])
    return ColumnPrice(column, low, high, low if resting else None)


def _price_reach(ground: Ground, column: int, sign: int, x: Fraction) -> Fraction | None:
    """How far a price can move one way while the column keeps its value."""
    reach: Fraction | None = Fraction(0)
    for stretch in price_walk(ground, column, sign):
        if stretch.slope != sign * x:
            return reach
        reach = stretch.stop
    return reach


def _curve(
    ground: Ground,
    walk: Callable[[int], Iterator[Stretch]],
    origin: Fraction,
    interval: tuple[float, float],
) -> tuple[tuple[Fraction, Fraction], ...]:
    start, end = map(Fraction, interval)
    if start > end:
        raise ValueError(f"{interval[0]} to {interval[1]} is not an interval")
    reduced = reduced_costs(ground.exact, ground.stand, ground.exact.costs)
    cost = objective(ground.exact, ground.box, ground.stand, reduced)
    found = {origin: cost}
    for sign, far in ((-1, origin - start), (+1, end - origin)):
        if far > 0:
            found |= {origin + sign * at: value for at, value in _corners(walk(sign), cost, far)}
    whole = Curve(tuple(sorted(found.items())), ())
    kept = {at: value for at, value in found.items() if start <= at <= end}
    kept |= {at: value for at in (start, end) if (value := whole.cost_at(at)) is not None}
    return _straightened(sorted(kept.items()))


def _corners(
    stretches: Iterator[Stretch], cost: Fraction, far: Fraction
) -> Iterator[tuple[Fraction, Fraction]]:
    for stretch in stretches:
        stop = far if stretch.stop is None else min(stretch.stop, far)
        cost += stretch.slope * (stop - stretch.start)
        yield stop, cost
        if stop == far:
            return


def _straightened(
    points: Sequence[tuple[Fraction, Fraction]],
) -> tuple[tuple[Fraction, Fraction], ...]:
    """Without the points that lie on the line between their neighbours."""
    kept: list[tuple[Fraction, Fraction]] = []
    for at, cost in points:
        if len(kept) > 1:
            (a, cost_a), (b, cost_b) = kept[-2:]
            if (cost_b - cost_a) * (at - b) == (cost - cost_b) * (b - a):
                kept.pop()
        kept.append((at, cost))
    return tuple(kept)
