"""A program with its yes/no choices made, and its solution."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations

from ...constraints.model.brief import Bench
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Optimal, Outcome, Program
from ..program.session import Session
from ..strength.composing import composed
from ..strength.search import keeps_acidity


def chosen(program: Program, x: Sequence[float]) -> Program:
    """A program with its whole-number columns held at their values in ``x``.

    What a choice that is not made leaves out is held at 0 itself: a solver keeps rows to a hair
    only, and a hair of a material counts as using it.
    """
    ends = list(zip(program.lower, program.upper, strict=True))
    for column, whole in enumerate(program.whole):
        if whole:
            ends[column] = (float(round(x[column])),) * 2
    for choice, share in gated(program):
        if ends[choice] == (0.0, 0.0) and ends[share][0] == 0.0:
            ends[share] = (0.0, 0.0)
    return replace(
        program,
        lower=tuple(low for low, _ in ends),
        upper=tuple(high for _, high in ends),
        whole=(False,) * len(ends),
    )


def gated(program: Program) -> Iterator[tuple[int, int]]:
    """Each choice with a column that a row leaves nothing but 0 where it is not made."""
    for row in program.rows:
        if len(row.columns) != 2 or row.high != 0.0:
            continue
        for (share, value), (choice, _) in permutations(zip(row.columns, row.values, strict=True)):
            if program.whole[choice] and value > 0.0 and not program.whole[share]:
                yield choice, share


def made_for(
    bench: Bench, program: Program, optimal: Optimal, deadline: Deadline = NEVER
) -> Optimal | None:
    """A solution with its choices as exact whole numbers; ``None`` where that is none."""
    again = Session(chosen(program, optimal.x), deadline).solve()
    return settled(bench, again, optimal)


def made_in(bench: Bench, session: Session, program: Program, optimal: Optimal) -> Optimal | None:
    """The same in a session that holds the program, which is quicker than to begin another."""
    held = chosen(program, optimal.x)
    ends = zip(program.lower, program.upper, held.lower, held.upper, strict=True)
    bounds = [
        (column, low, high)
        for column, (was, to, low, high) in enumerate(ends)
        if (was, to) != (low, high)
    ]
    return settled(bench, session.solve_with(bounds=bounds), optimal)


def settled(bench: Bench, again: Outcome, optimal: Optimal) -> Optimal | None:
    """What asking again with the choices made came to.

    Where costs tie, asking again can end at another point, whose pH was never counted: the point
    that was settled then stands.
    """
    if not isinstance(again, Optimal):
        return None
    if keeps_acidity(bench, composed(bench, again)):
        return again
    return replace(optimal, cost=again.cost, basis=None)
