"""Linear rows over shares and yes/no choices: what a solver is given of a rule.

Columns ``0 … n-1`` are the mass fractions of the shelf's materials in the mix as weighed [kg/kg];
columns ``n …`` are the choices: 1 where a material is used, 0 where it is left out.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import TypeAlias

from ..values.told import Told

WHOLE = "the whole"
"""The rule id of the first row: the shares add to one."""


@dataclass(frozen=True, slots=True, repr=False)
class Row(Told):
    """``low ≤ Σ values[j]·x[columns[j]] ≤ high``; an open side is ±inf.

    Args:
        rule: id of the rule it comes from; the one thing that ties a price back to its rule.
        part: which row of the rule it is ("share", "at least", "at most", …).
        columns: column indices, ascending, each once.
        values: one coefficient for each column, none of them 0.
        low: lower side.
        high: upper side.
    """

    rule: str
    part: str
    columns: tuple[int, ...]
    values: tuple[float, ...]
    low: float
    high: float


@dataclass(frozen=True, slots=True, repr=False)
class Rows(Told):
    """A brief and a shelf as linear rows.

    Args:
        materials: [n] name of each share column.
        choices: material of each choice column, after the shares.
        rows: the first is Σ x = 1, under the rule id ``WHOLE``.
        ionic_strength: what the pH rows assume of the dispersion [mol/kg water].
    """

    materials: tuple[str, ...]
    choices: tuple[str, ...]
    rows: tuple[Row, ...]
    ionic_strength: float = 0.0

    def of(self, rule: str) -> tuple[tuple[int, Row], ...]:
        """The rows of a rule, each with its index."""
        return tuple((index, row) for index, row in enumerate(self.rows) if row.rule == rule)


Slopes: TypeAlias = Mapping[int, Sequence[float]]
"""Share column -> what a unit more of its material's residual alkalinity, of its price and of each
of its contents adds to the coefficient."""

Relaid: TypeAlias = Callable[[int, Mapping[int, float]], Row]
"""A row by its place among those of its rule, laid anew from other coefficients of its shares, with
what follows from these for its choices."""


@dataclass(frozen=True, slots=True)
class Bends:
    """What other lots do to the rows of a rule, for a kind that can tell.

    Args:
        slopes: of each row, in their order.
        relaid: a row as its kind lays it.
    """

    slopes: tuple[Slopes, ...]
    relaid: Relaid


def row(rule: str, part: str, values: Mapping[int, float], low: float, high: float) -> Row:
    """A row from its coefficients by column; those that are 0 are left out."""
    entries = sorted(entry for entry in values.items() if entry[1])
    columns, numbers = zip(*entries, strict=True) if entries else ((), ())
    return Row(rule, part, columns, numbers, low, high)


def between(
    rule: str, part: str, values: Mapping[int, float], limits: tuple[float | None, float | None]
) -> Row:
    """A row between a lower and an upper limit, ``None`` where a side is free."""
    low, high = limits
    return row(rule, part, values, -inf if low is None else low, inf if high is None else high)


def less(of: Mapping[int, float], to: Mapping[int, float], times: float) -> dict[int, float]:
    """Coefficients of one thing less a multiple of another."""
    columns: Iterable[int] = of.keys() | to.keys()
    return {column: of.get(column, 0.0) - times * to.get(column, 0.0) for column in columns}
