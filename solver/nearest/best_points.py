"""The best points of a linear program: what has a price stays at its limit."""

from collections.abc import Sequence
from dataclasses import replace

from ...constraints.model.row import Row
from ..program.outcome import Optimal, Program

PRICED = 1e-9
"""A reduced cost or a row's price below this is none [share or money for a share]."""


def best_points(program: Program, optimal: Optimal) -> Program:
    """The program held to where a linear one is as good: what has a price stays at its limit."""
    columns = zip(program.lower, program.upper, optimal.x, optimal.column_prices, strict=True)
    ends = [
        _end(low, high, x) if abs(price) > PRICED else (low, high)
        for low, high, x, price in columns
    ]
    rows = zip(program.rows, optimal.row_prices, strict=True)
    values = optimal.x
    return replace(
        program,
        lower=tuple(low for low, _ in ends),
        upper=tuple(high for _, high in ends),
        rows=tuple(_tight(row, values) if abs(price) > PRICED else row for row, price in rows),
    )


def _tight(row: Row, x: Sequence[float]) -> Row:
    value = sum(x[column] * factor for column, factor in zip(row.columns, row.values, strict=True))
    low, high = _end(row.low, row.high, value)
    return replace(row, low=low, high=high)


def _end(low: float, high: float, value: float) -> tuple[float, float]:
    """Both limits at the one where a value stands."""
    return (low, low) if abs(value - low) <= abs(value - high) else (high, high)
