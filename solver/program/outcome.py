"""What a solver can say of a program."""

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from ...constraints.model.row import Row
from ...constraints.values.told import Told


def exactly(value: float) -> Fraction:
    """The number a maker wrote: the shortest decimal that reads back as this float.

    A bar of 10 %, 20 % and 70 % adds to one; the floats nearest to those shares do not.

    >>> exactly(0.1) + exactly(0.2) + exactly(0.7)
    Fraction(1, 1)
    """
    return Fraction(*ratio(value))


def ratio(value: float) -> tuple[int, int]:
    """The same as a numerator and a denominator in lowest terms.

    >>> ratio(0.35)
    (7, 20)
    """
    return Decimal(repr(value)).as_integer_ratio()


@dataclass(frozen=True, slots=True, repr=False)
class Program(Told):
    """Minimise ``Σ costs[j]·x[j]`` over rows, ``lower ≤ x ≤ upper``.

    Args:
        costs: [n] one for each column.
        lower: [n] lower bounds, finite.
        upper: [n] upper bounds, ``inf`` where open.
        whole: [n] whether the column takes whole numbers only.
        rows: two-sided rows over the columns.
    """

    costs: tuple[float, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    whole: tuple[bool, ...]
    rows: tuple[Row, ...]

    @property
    def half_made(self) -> "Program":
        """Its linear relaxation: any column may take any number between its bounds."""
        return replace(self, whole=(False,) * len(self.whole))


@dataclass(frozen=True, slots=True)
class Basis:
    """Which columns and rows the solver ended on, for an exact re-check.

    Args:
        columns: [n] one of "basic", "lower", "upper", "free" for each column.
        rows: [m] the same for each row's activity.
    """

    columns: tuple[str, ...]
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Optimal:
    """A point that the solver calls optimal.

    Args:
        cost: objective value.
        x: [n] the point.
        row_prices: [m] d cost / d row activity, empty with whole-number columns.
        column_prices: [n] reduced costs, empty with whole-number columns.
        basis: ``None`` with whole-number columns or a solver that gives none.
    """

    cost: float
    x: tuple[float, ...]
    row_prices: tuple[float, ...]
    column_prices: tuple[float, ...]
    basis: Basis | None


@dataclass(frozen=True, slots=True)
class Within:
    """A point that keeps every row, and how much less any other could cost.

    Args:
        cost: objective value.
        bound: no point costs less.
        x: [n] the point.
    """

    cost: float
    bound: float
    x: tuple[float, ...]


@dataclass(frozen=True, slots=True, repr=False)
class Infeasible(Told):
    """No point keeps every row."""


@dataclass(frozen=True, slots=True)
class Unbounded:
    """The objective falls without end."""


@dataclass(frozen=True, slots=True)
class Stopped:
    """The solver gave up before it was sure; ``reason`` is its own word for it."""

    reason: str


Outcome = Optimal | Infeasible | Unbounded | Stopped
