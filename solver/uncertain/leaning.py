"""How much a composition had best lean on what is added at the bench.

With one column more, for the most that any lot may take, every row is straight in shares and
addition together (``constraints/rules/correcting``), so one program finds both. Rows on choices are
left as they stand, being straight in neither; the answer is solved again with the addition held,
and judged with it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from math import inf, isfinite

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of
from ...constraints.model.row import Row, Rows
from ...constraints.model.uncertainty import Correction, Uncertainty
from ...constraints.rules.correcting import leaving_room
from ...constraints.rules.rows import rows_of
from ..cheapest.cheapest import least, program_of
from ..program.deadline import Deadline
from ..program.fixed_point import ionic_strength, settled
from ..program.outcome import Optimal, Outcome, Program
from ..program.session import solve
from ..strength.composing import composed
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


@dataclass(frozen=True, slots=True)
class Leaning:
    """What a composition leans on.

    Args:
        most: that any lot takes [kg per kg of mix].
        strength: ionic strength at which that was found [mol/kg water]: a good one to begin with.
    """

    most: float
    strength: float


def leaning(
    bench: Bench,
    known: Uncertainty,
    scales: Mapping[str, float],
    deadline: Deadline,
    start: float = 0.0,
) -> Leaning | None:
    """The addition with which the cheapest composition keeps its rules.

    Args:
        bench: what was read.
        known: the set; its correction says what is added.
        scales: rule -> the share of every range for which it is to hold.
        deadline: when to give up.
        start: an ionic strength to begin with [mol/kg water].

    Returns:
        The most that any lot takes, at its own price on top of the composition's cost; ``None``
        where no addition up to ``MOST`` lets all rules be kept.
    """
    added = known.correction
    if added is None:
        return Leaning(0.0, start)
    none = demanded(bench, replace(known, correction=replace(added, most=0.0)), scales)
    ask = partial(_asked, none, replace(added, most=1.0), deadline)

    def composition_of(outcome: Outcome) -> Composition | None:
        return composed(bench, outcome) if isinstance(outcome, Optimal) else None

    outcome, rows, _ = settled(none, ask, composition_of, start)
    if not isinstance(outcome, Optimal):
        plain, _, _ = least(demanded(bench, known, {}), deadline=deadline)
        if not isinstance(plain, Optimal):
            return None
        near = ionic_strength(bench, composed(bench, plain))
        outcome, rows, _ = settled(none, ask, composition_of, near)
    return Leaning(outcome.x[-1], rows.ionic_strength) if isinstance(outcome, Optimal) else None


def leaning_at(
    bench: Bench,
    known: Uncertainty,
    scales: Mapping[str, float],
    strength: float,
    deadline: Deadline,
) -> float | None:
    """What the cheapest composition costs with the best addition, at a given ionic strength alone.

    Quick, and as near to what it costs at its own ionic strength as the two are to each other.

    Returns:
        [money/kg of mix], the addition apart; ``None`` where none was found.
    """
    added = known.correction
    if added is not None:
        none = demanded(bench, replace(known, correction=replace(added, most=0.0)), scales)
        outcome = _asked(none, replace(added, most=1.0), deadline, rows_of(none, strength))
        if not isinstance(outcome, Optimal):
            return None
        known = replace(known, correction=replace(added, most=outcome.x[-1]))
    rows = rows_of(demanded(bench, known, scales), strength)
    found = solve(program_of(rows, bench.prices), deadline)
    return found.cost if isinstance(found, Optimal) else None


def _asked(none: Bench, one: Correction, deadline: Deadline, rows: Rows) -> Outcome:
    """Shares and addition together, from rows without any and what a kilogram of it makes of them.

    Args:
        none: with rules that leave no room yet.
        one: a kilogram of what is added, for each kilogram of mix.
        deadline: when to give up.
        rows: of ``none``.
    """
    rules = {rule.id: rule for rule in none.brief.rules}
    frame = frame_of(none)

    def moved(row: Row) -> Row:
        rule = rules.get(row.rule)
        return row if rule is None or rule.whole else leaving_room(row, rule, one, frame)

    other = tuple(map(moved, rows.rows))
    return solve(_with_addition(program_of(rows, none.prices), other, one.price), deadline)


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
