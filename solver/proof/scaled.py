"""A program in whole numbers: rows and bounds scaled, nothing rounded."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache
from math import isinf, lcm
from typing import Any, TypeAlias

from ..program.outcome import Program, exactly, ratio

Matrix: TypeAlias = Any
"""A matrix of the exact-arithmetic library, which carries no types."""

ROWS_KNOWN = 4096
"""So many rows are kept scaled, the last ones met."""

Sparse = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Box:
    """Lower and upper end of every variable, times ``unit``; ``None`` where open."""

    lower: tuple[int | None, ...]
    upper: tuple[int | None, ...]
    unit: int


@dataclass(frozen=True, slots=True)
class Values:
    """One number for each variable: ``numbers[v] / over``, ``over > 0``."""

    numbers: tuple[int, ...]
    over: int

    def fraction(self, variable: int, unit: int = 1) -> Fraction:
        """The value of one variable divided by ``unit``."""
        return Fraction(int(self.numbers[variable]), int(self.over) * int(unit))


@dataclass(frozen=True, slots=True)
class Exact:
    """A program over whole numbers.

    Args:
        rows: [m] (column, entry) of each row that has a limit, scaled.
        costs: [n] scaled costs.
        row_scales: [m] power of two each row was multiplied by.
        cost_scale: the same for the costs.
        kept: [m] which row of the program each row is; rows open on both sides are left out.
        height: number of rows in the program.
        box: bounds and limits.
        columns: [n] (row, entry) of each column, the same entries.
        inverses: of the kernels met last; only saves work.
        priced: reduced costs at the bases met last, by their columns and rows; the same.
    """

    rows: tuple[Sparse, ...]
    costs: tuple[int, ...]
    row_scales: tuple[int, ...]
    cost_scale: int
    kept: tuple[int, ...]
    height: int
    box: Box
    columns: tuple[Sparse, ...] = field(repr=False, compare=False)
    inverses: dict[tuple[tuple[int, ...], tuple[int, ...]], tuple[Matrix, int]] = field(
        default_factory=dict, repr=False, compare=False
    )
    priced: dict[tuple[tuple[int, ...], tuple[int, ...]], Values] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def width(self) -> int:
        """Number of columns."""
        return len(self.costs)

    @property
    def size(self) -> int:
        """Number of variables, columns and rows together."""
        return len(self.costs) + len(self.rows)


def exact_program(program: Program) -> Exact:
    """The program whose numbers are exactly the decimals of ``program``.

    >>> exact_program(Program((0.5,), (0.0,), (1.0,), (False,), ())).costs
    (1,)
    """
    from flint import fmpz

    kept = tuple(
        i for i, row in enumerate(program.rows) if not (isinf(row.low) and isinf(row.high))
    )
    scaled = [_scaled(program.rows[i].values) for i in kept]
    rows = tuple(
        tuple(zip(program.rows[i].columns, map(fmpz, entries), strict=True))
        for i, (entries, _) in zip(kept, scaled, strict=True)
    )
    costs, cost_scale = _scaled(program.costs)
    scales = tuple(scale for _, scale in scaled)
    return Exact(
        rows=rows,
        costs=tuple(map(fmpz, costs)),
        row_scales=scales,
        cost_scale=cost_scale,
        kept=kept,
        height=len(program.rows),
        box=_box(program, kept, scales),
        columns=_columns(rows, len(program.costs)),
    )


@lru_cache(maxsize=ROWS_KNOWN)
def _scaled(values: tuple[float, ...]) -> tuple[tuple[int, ...], int]:
    """Figures as whole numbers over one; the rows of a bench stand in one program after another."""
    exact = [ratio(value) for value in values]
    scale = lcm(*{below for _, below in exact})
    return tuple(above * (scale // below) for above, below in exact), scale


def _columns(rows: Sequence[Sparse], width: int) -> tuple[Sparse, ...]:
    columns: list[list[tuple[int, int]]] = [[] for _ in range(width)]
    for i, row in enumerate(rows):
        for column, entry in row:
            columns[column].append((i, entry))
    return tuple(map(tuple, columns))


def _box(program: Program, kept: Sequence[int], scales: Sequence[int]) -> Box:
    from flint import fmpz

    low = [program.rows[i].low for i in kept]
    high = [program.rows[i].high for i in kept]
    factors = [1] * len(program.costs) + list(scales)
    ends = [(*program.lower, *low), (*program.upper, *high)]
    exact = [
        [None if isinf(v) else exactly(v) * k for v, k in zip(side, factors, strict=True)]
        for side in ends
    ]
    unit = lcm(*(v.denominator for side in exact for v in side if v is not None))
    lower, upper = (
        tuple(None if v is None else fmpz(int(v * unit)) for v in side) for side in exact
    )
    return Box(lower, upper, unit)


def narrowed(box: Box, variable: int, low: int | None, high: int | None) -> Box:
    """The box with a column held between whole numbers too; ``None`` leaves an end as it is."""
    lower, upper = list(box.lower), list(box.upper)
    floor, top = lower[variable], upper[variable]
    if low is not None:
        lower[variable] = low * box.unit if floor is None else max(floor, low * box.unit)
    if high is not None:
        upper[variable] = high * box.unit if top is None else min(top, high * box.unit)
    return replace(box, lower=tuple(lower), upper=tuple(upper))


def shifted(box: Box, rates: Mapping[int, tuple[int, int]], step: Fraction) -> Box:
    """The box after its ends have moved by ``step`` times the rates (low, high) in box units."""
    p, q = step.numerator, step.denominator
    lower, upper = ([None if v is None else v * q for v in side] for side in (box.lower, box.upper))
    for variable, ends in rates.items():
        for side, rate in zip((lower, upper), ends, strict=True):
            value = side[variable]
            side[variable] = None if value is None else value + p * rate
    return Box(tuple(lower), tuple(upper), box.unit * q)
