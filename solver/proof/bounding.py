"""What a box costs at least by a float solver's prices, in whole numbers: no exact solving needed.

Any multipliers over the rows bound the cost (``duality``). A solver's own are out by a hair, and
the hair would lean on columns without an upper end; where an equation holds them together, as the
shares of a mix add to one, a little less for that equation puts every one of them right.
"""

from collections.abc import Sequence
from fractions import Fraction
from math import isfinite

from ..program.outcome import Optimal, Program
from .duality import Ends, Grid, least_cost

GRAIN = 2**40
"""Multipliers are taken in parts of this: finer is slower and bounds no better."""

HAIR = 1e-9
"""What is taken off the equation's multiplier beside what the solver's own slips ask for."""

TRIES = 3


def bound_in(
    grid: Grid, program: Program, optimal: Optimal, lower: Ends, upper: Ends
) -> Fraction | None:
    """What every point of a box costs at least, by the prices of a float solver's answer.

    Args:
        grid: the program's decimals.
        program: the same in floats.
        optimal: its optimum over the box without whole-number demands, with prices.
        lower: [n] lower ends of the box, on the grid.
        upper: [n] upper ends of the box, on the grid.

    Returns:
        A bound that holds exactly; ``None`` where the prices give none.
    """
    prices = _leaning(program, optimal.row_prices)
    open_columns = [j for j, end in enumerate(upper) if end is None]
    equation = _equation(program, frozenset(open_columns))
    off = max((-optimal.column_prices[j] for j in open_columns), default=0.0)
    off = max(off, 0.0) + HAIR
    for _ in range(TRIES):
        taken = [*prices]
        if equation is not None:
            taken[equation] -= off
        bound = least_cost(grid, [_grains(price) for price in taken], lower, upper)
        if bound is not None or equation is None:
            return bound
        off *= 1e3
    return None


def _leaning(program: Program, prices: Sequence[float]) -> list[float]:
    """Prices without those that lean on an open side."""
    return [
        0.0 if not isfinite(row.low if price > 0.0 else row.high) else price
        for row, price in zip(program.rows, prices, strict=True)
    ]


def _equation(program: Program, columns: frozenset[int]) -> int | None:
    """An equation in which all these columns count for something."""
    for place, row in enumerate(program.rows):
        together = row.low == row.high and all(value > 0.0 for value in row.values)
        if together and columns <= {*row.columns}:
            return place
    return None


def _grains(price: float) -> Fraction:
    return Fraction(round(price * GRAIN), GRAIN)
