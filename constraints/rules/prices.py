"""How the price of one material moves the rules in which prices stand.

Rows of such rules are affine in each price, so that two prices tell all: nothing is asked of a rule
but its rows, and a kind of rule that is added is treated like those that are here.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite

from ..model.brief import Bench
from ..model.frame import frame_of
from ..model.row import Row
from .holding import rows_held


@dataclass(frozen=True, slots=True)
class PricedRow:
    """A row that moves with the price p of a material: its coefficient there is ``at + by·p``.

    Args:
        row: as it stands at p = 0.
        by: what the coefficient of the material gains for each money/kg.
        caps_cost: whether it caps what the whole mix costs, which the objective is already.
    """

    row: Row
    by: float
    caps_cost: bool


def priced_rows(bench: Bench, column: int, ionic_strength: float = 0.0) -> tuple[PricedRow, ...]:
    """The rows of a bench that move with the price of the material in a column."""
    frame = frame_of(bench)
    prices = [_with(frame.prices, column, price) for price in (0.0, 1.0)]
    frames = [replace(frame, prices=one) for one in prices]
    return tuple(
        PricedRow(first, by, _caps_cost(second, prices[1]))
        for rule in bench.brief.rules
        if rule.priced
        for first, second in zip(
            *(rows_held(rule, one, ionic_strength) for one in frames), strict=True
        )
        if (by := _coefficient(second, column) - _coefficient(first, column))
    )


def bearable(rows: Sequence[PricedRow], x: Sequence[float], column: int) -> float | None:
    """The highest price at which a composition keeps the rows that move with it [money/kg].

    Args:
        rows: those of the bench.
        x: [n] the shares and choices of the composition.
        column: the material's.

    Returns:
        The price, at least 0; ``None`` where no price is too high.
    """
    ends = [end for one in rows for end in _ends(one, x, column)]
    return max(0.0, min(ends)) if ends else None


def _ends(priced: PricedRow, x: Sequence[float], column: int) -> Iterator[float]:
    slope = priced.by * x[column]
    value = sum(v * x[j] for j, v in zip(priced.row.columns, priced.row.values, strict=True))
    if slope > 0 and isfinite(priced.row.high):
        yield (priced.row.high - value) / slope
    if slope < 0 and isfinite(priced.row.low):
        yield (priced.row.low - value) / slope


def _with(prices: tuple[float, ...], column: int, price: float) -> tuple[float, ...]:
    return (*prices[:column], price, *prices[column + 1 :])


def _coefficient(row: Row, column: int) -> float:
    return dict(zip(row.columns, row.values, strict=True)).get(column, 0.0)


def _caps_cost(row: Row, prices: Sequence[float]) -> bool:
    whole = {column: price for column, price in enumerate(prices) if price}
    return row.low == -inf and dict(zip(row.columns, row.values, strict=True)) == whole
