"""Questions other than the least cost, settled at the ionic strength of their own answer.

What is asked over rows at one ionic strength is asked again until that is the one of the answer.
Where it does not come to rest, or rows at the strength assumed leave nothing, the least cost over
every ionic strength says whether there is a composition at all, and one from which to go on.
"""

from collections.abc import Callable
from typing import TypeVar

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.row import Rows
from ...constraints.rules.outer import point_rows
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import settled, speaks_of_water, state_of
from ..program.outcome import Optimal, Program
from ..strength.composing import composed
from ..strength.parts import Sought
from ..strength.search import keeps_acidity
from .cheapest import least_anywhere

Answer = TypeVar("Answer")


def settled_anywhere(
    bench: Bench,
    ask: Callable[[Rows], Answer],
    composition_of: Callable[[Answer], Composition | None],
    start: float,
    also: Callable[[Program], Program],
    *,
    deadline: Deadline = NEVER,
) -> tuple[Answer, Rows] | Sought:
    """An answer that keeps the rules on pH at its own ionic strength.

    Args:
        bench: what was read.
        ask: puts rows to a solver.
        composition_of: the composition of an answer, or ``None`` where it has none.
        start: the ionic strength to begin with [mol/kg water].
        also: what the question asks of a composition beside the rules.
        deadline: when to give up; ``ask`` keeps it by itself.

    Returns:
        The answer and its rows; or, where there is none, what the search over every ionic strength
        came to: proof that no composition keeps the rules, or an answer of its own where only the
        question asked has none.
    """

    def attempt(strength: float) -> tuple[Answer, Rows] | None:
        answer, rows, at_rest = settled(bench, ask, composition_of, strength)
        return (answer, rows) if at_rest and kept(answer) else None

    def kept(answer: Answer) -> bool:
        composition = composition_of(answer)
        return composition is not None and keeps_acidity(bench, composition)

    first = attempt(start)
    if first is not None:
        return first
    found = least_anywhere(bench, also=also, start=start, deadline=deadline)
    if not isinstance(found.outcome, Optimal):
        return found
    again = attempt(found.rows.ionic_strength)
    if again is not None:
        return again
    if speaks_of_water(bench.brief):
        rows = point_rows(bench, *state_of(bench, composed(bench, found.outcome)))
        answer = ask(rows)
        if kept(answer):
            return answer, rows
    return found
