"""The composition in a certificate: whether it keeps the rows it is shown with, and the rules."""

from collections.abc import Sequence
from fractions import Fraction

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.mix import TRACE
from ...constraints.rules.judging import judge
from ...constraints.rules.outer import BALANCE
from ..program.outcome import Program
from ..proof.form import RejectionError

KEPT_WITHIN = Fraction(1, 10**7)
"""By how much the point may miss a row that says nothing of pH: as much as a judge allows."""

NAMED_WITHIN = Fraction(1, 10**5)
"""And by how much a row that the document says is on pH: as far as a composition at the very edge
of its band may be out of it, and no farther, whatever the row is about."""


def check_kept(cells: Sequence[Program], acidity: frozenset[str], x: tuple[Fraction, ...]) -> None:
    """The point keeps bounds, whole numbers and all rows of the cell in which it lies.

    Which that is nobody says, so one must be found; the rows that the document says are on pH are
    kept as nearly as a pH at the edge of its band keeps them.

    Args:
        cells: each one's rows, alike in all else.
        acidity: ids of the rules on pH.
        x: [n] the point.

    Raises:
        RejectionError: where it does not.
    """
    common = cells[0]
    ends = zip(x, common.lower, common.upper, common.whole, strict=True)
    for column, (value, low, high, whole) in enumerate(ends):
        if not _near(value, low, high):
            raise RejectionError(f"x breaks column {column}: outside its bounds")
        if whole and abs(value - round(value)) > KEPT_WITHIN:
            raise RejectionError(f"x breaks column {column}: not a whole number")
    broken = [_broken(one, acidity, x) for one in cells]
    if all(fault is not None for fault in broken):
        raise RejectionError(str(broken[0]))


def _broken(program: Program, acidity: frozenset[str], x: tuple[Fraction, ...]) -> str | None:
    """The first row of a cell that a point does not keep."""
    for place, row in enumerate(program.rows):
        slack = NAMED_WITHIN if row.rule in acidity or row.rule == BALANCE else KEPT_WITHIN
        pairs = zip(row.columns, row.values, strict=True)
        total = sum((Fraction(value) * x[column] for column, value in pairs), Fraction(0))
        size = max((1.0, *map(abs, row.values)))
        if not _near(total, row.low, row.high, slack * Fraction(size)):
            return f"x breaks row {place}, of rule {row.rule!r}"
    return None


def _near(value: Fraction, low: float, high: float, slack: Fraction = KEPT_WITHIN) -> bool:
    return not (value + slack < low or value - slack > high)


def check_judged(bench: Bench, x: tuple[Fraction, ...]) -> None:
    """The point as a composition, judged by every rule of the bench.

    Raises:
        RejectionError: where it breaks one.
    """
    names = (item.material.name for item in bench.shelf)
    shares = {name: float(share) for name, share in zip(names, x, strict=False)}
    parts = {name: share for name, share in shares.items() if share > TRACE}
    broken = [one.rule.id for one in judge(bench, Composition("", parts)) if not one.kept]
    if broken:
        raise RejectionError(f"x breaks {', '.join(map(repr, broken))}")
