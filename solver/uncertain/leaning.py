"""How much a composition had best lean on what is added at the bench.

With one column more, for the most that any lot may take, every row is straight in shares and
addition together (``constraints/rules/correcting``), so one program finds both. Rows on choices are
left as they stand, being straight in neither; the answer is solved again with the addition held,
and judged with it.
"""

from collections.abc import Mapping
from dataclasses import replace
from math import inf, isfinite

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of
from ...constraints.model.row import Row, Rows
from ...constraints.model.uncertainty import Correction, Uncertainty
from ...constraints.rules.correcting import leaving_room
from ..cheapest.cheapest import composed, least, program_of
from ..program.deadline import Deadline
from ..program.fixed_point import ionic_strength, settled
from ..program.outcome import Optimal, Outcome, Program
from ..program.session import solve
from .demand import demanded

MOST = 0.05
"""No more than this is thought of as a correction [kg per kg of mix]."""


def correction_of(bench: Bench, name: str, most: float = 0.0) -> Correction:
    """A material of the shelf as what is added at the bench.

    Raises:
        KeyError: when the shelf has no such material.
    """
    item = bench.item(name)
    return Correction(item.material, item.price, most)


def leaning(
    bench: Bench, known: Uncertainty, scales: Mapping[str, float], deadline: Deadline
) -> float | None:
    """The addition with which the cheapest composition keeps its rules [kg per kg of mix].

    Args:
        bench: what was read.
        known: the set; its correction says what is added.
        scales: rule -> the share of every range for which it is to hold.
        deadline: when to give up.

    Returns:
        The most that any lot takes, at its own price on top of the composition's cost; ``None``
        where no addition up to ``MOST`` lets all rules be kept.
    """
    added = known.correction
    if added is None:
        return 0.0
    none = demanded(bench, replace(known, correction=replace(added, most=0.0)), scales)
    rules = {rule.id: rule for rule in bench.brief.rules}
    frame, one = frame_of(none), replace(added, most=1.0)

    def moved(row: Row) -> Row:
        rule = rules.get(row.rule)
        return row if rule is None or rule.whole else leaving_room(row, rule, one, frame)

    def ask(rows: Rows) -> Outcome:
        other = tuple(map(moved, rows.rows))
        program = _with_addition(program_of(rows, bench.prices), other, added.price)
        return solve(program, deadline)

    def composition_of(outcome: Outcome) -> Composition | None:
        return composed(bench, outcome) if isinstance(outcome, Optimal) else None

    outcome, _, _ = settled(none, ask, composition_of)
    if not isinstance(outcome, Optimal):
        plain, _, _ = least(demanded(bench, known, {}), deadline=deadline)
        if not isinstance(plain, Optimal):
            return None
        start = ionic_strength(bench, composed(bench, plain))
        outcome, _, _ = settled(none, ask, composition_of, start)
    return outcome.x[-1] if isinstance(outcome, Optimal) else None


def _with_addition(program: Program, one: tuple[Row, ...], price: float) -> Program:
    column = len(program.costs)
    rows = (_straight(row, moved, column) for row, moved in zip(program.rows, one, strict=True))
    return Program(
        costs=(*program.costs, price),
        lower=(*program.lower, 0.0),
        upper=(*program.upper, MOST),
        whole=(*program.whole, False),
        rows=tuple(rows),
    )


def _straight(row: Row, moved: Row, column: int) -> Row:
    """A row of shares and addition, from its sides with nothing and with one kilogram added."""
    if row.values != moved.values:  # against a choice: left as it stands
        return row
    shifts = [
        one - none
        for none, one in ((row.low, moved.low), (row.high, moved.high))
        if isfinite(none) and one != none
    ]
    if not shifts:
        return row
    if len(shifts) == 1 and (row.low == -inf or row.high == inf):
        return replace(row, columns=(*row.columns, column), values=(*row.values, -shifts[0]))
    return row
