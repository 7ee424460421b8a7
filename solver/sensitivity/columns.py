"""What the price of each column may do before the answer changes, and what would bring it in."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import inf

from ..program.outcome import Program, exactly
from ..proof.exact import basic, basic_row, non_basic, point
from ..proof.proved import Unproved
from ..proof.scaled import Values
from ..proof.simplex import is_fixed, reduced_costs
from .ground import Answer, Ground, ground_of
from .walk import price_walk

NO_COST = 1e-9
"""A price that moves by no more than this has not moved [money/kg]."""


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


def column_prices(program: Program, answer: Answer) -> tuple[ColumnPrice, ...] | Unproved:
    """The price range of every column that is not a choice."""
    ground = ground_of(program, answer)
    if isinstance(ground, Unproved):
        return ground
    return tuple(
        column_price(ground, program, j) for j, whole in enumerate(program.whole) if not whole
    )


def break_evens(
    ground: Ground, program: Program, columns: Iterable[int]
) -> Iterator[tuple[int, Fraction | None]]:
    """The break-even price of columns that are left out, as ``ColumnPrice.comes_in`` has it.

    One factorised basis prices them all: a column comes in when its price has fallen by its reduced
    cost, unless what is basic stands at an end that it would have to pass. Only such a column, at
    a degenerate optimum, is followed over its corners.
    """
    exact, box, stand = ground.exact, ground.box, ground.stand
    reduced, at = reduced_costs(exact, stand, exact.costs), point(exact, box, stand)
    moving = basic(exact, stand)
    stops = [stop for v in moving for stop in _stops(ground, at, v)]
    inside = {*moving}
    for column in columns:
        price = exactly(program.costs[column])
        if column in inside or at.fraction(column, box.unit) != exactly(program.lower[column]):
            yield column, column_price(ground, program, column).comes_in
        elif is_fixed(box, column):
            yield column, None
        elif any(row[column] * sign > 0 for row, sign in stops):
            yield column, column_price(ground, program, column).comes_in
        else:
            yield column, price - reduced.fraction(column, exact.cost_scale)


def _stops(ground: Ground, at: Values, variable: int) -> Iterator[tuple[Sequence[int], int]]:
    """A basic variable at an end, as the row that moves it, and which way it cannot move."""
    for ends, sign in ((ground.box.lower, -1), (ground.box.upper, +1)):
        end = ends[variable]
        if end is not None and end * at.over == at.numbers[variable]:
            yield basic_row(ground.exact, ground.stand, variable).numbers, sign


def tied(ground: Ground, program: Program, columns: Iterable[int]) -> Iterator[int]:
    """The columns whose value could change at the same cost.

    None where no variable at rest costs nothing; else those that such a one would move.
    """
    exact, box, stand = ground.exact, ground.box, ground.stand
    reduced = reduced_costs(exact, stand, exact.costs)
    free = [
        v
        for v in non_basic(exact, stand)
        if not is_fixed(box, v) and abs(float(reduced.fraction(v, exact.cost_scale))) <= NO_COST
    ]
    resting = frozenset(non_basic(exact, stand))
    for column in columns if free else ():
        row = () if column in resting else basic_row(exact, stand, column).numbers
        if column in free or any(row[v] for v in free if row):
            x = _value(ground, column)
            reaches = (_price_reach(ground, column, sign, x, enough=NO_COST) for sign in (-1, +1))
            if any(reach is not None and reach <= NO_COST for reach in reaches):
                yield column


def column_price(ground: Ground, program: Program, column: int) -> ColumnPrice:
    """The price range of one column, followed over every corner."""
    price, x = exactly(program.costs[column]), _value(ground, column)
    low, high = (_price_reach(ground, column, sign, x) for sign in (-1, +1))
    low = None if low is None else price - low
    high = None if high is None else price + high
    resting = not is_fixed(ground.box, column) and x == exactly(program.lower[column])
    return ColumnPrice(column, low, high, low if resting else None)


def _value(ground: Ground, column: int) -> Fraction:
    return point(ground.exact, ground.box, ground.stand).fraction(column, ground.box.unit)


def _price_reach(
    ground: Ground, column: int, sign: int, x: Fraction, enough: float = inf
) -> Fraction | None:
    """How far a price can move one way while the column keeps its value; followed far enough."""
    reach: Fraction | None = Fraction(0)
    for stretch in price_walk(ground, column, sign):
        if stretch.slope != sign * x:
            return reach
        reach = stretch.stop
        if reach is not None and reach > enough:
            return reach
    return reach
