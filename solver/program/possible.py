"""Whether a program has a point at all, asked again and again with some of its rows changed.

A search over choices costs several times what one without does, and mostly it need not be begun:
where no point keeps the rows with choices left half made none keeps them whole, and where the
choices of an earlier point do once more that is a point. Only what neither tells is searched.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from ...constraints.model.row import Row
from .deadline import NEVER, Deadline
from .outcome import Infeasible, Optimal, Outcome, Program, Stopped
from .session import Session

REMEMBERED = 4
"""So many ways of making the choices are tried again before they are searched."""

TOGETHER = 8
"""So few rows are opened one by one rather than in groups first."""

Change = tuple[int, Row]
Choices = tuple[tuple[int, float, float], ...]


class Possible:
    """A program held in the solver, to be asked whether it has a point.

    Args:
        program: its costs play no part.
        deadline: past it the solver cannot tell.
    """

    def __init__(self, program: Program, deadline: Deadline = NEVER) -> None:
        free = replace(program, costs=(0.0,) * len(program.costs))
        self._whole = tuple(j for j, whole in enumerate(program.whole) if whole)
        self._half = Session(free.half_made, deadline)
        self._full = Session(free, deadline) if self._whole else self._half
        self._made: list[Choices] = []

    def with_rows(self, changed: Sequence[Change]) -> bool | None:
        """Whether there is a point with some rows changed; ``None`` if the solver cannot tell.

        Args:
            changed: index of a row and the row to put in its place.
        """
        outcome = self._half.solve_with(changed)
        if not self._whole or isinstance(outcome, Infeasible):
            return _told(outcome)
        if any(
            isinstance(self._half.solve_with(changed, choices), Optimal) for choices in self._made
        ):
            return True
        outcome = self._full.solve_with(changed)
        if isinstance(outcome, Optimal):
            self._remember(outcome.x)
        return _told(outcome)

    def _remember(self, x: Sequence[float]) -> None:
        choices = tuple((j, float(round(x[j])), float(round(x[j]))) for j in self._whole)
        self._made = [choices, *self._made][:REMEMBERED]


def _told(outcome: Outcome) -> bool | None:
    return None if isinstance(outcome, Stopped) else isinstance(outcome, Optimal)


def not_ruled_out(
    program: Program, gates: Mapping[str, Change], deadline: Deadline = NEVER
) -> frozenset[str]:
    """The names of a program's gates that may, each opened alone, give it a point.

    Where all of a group opened at once give none, each alone gives none: one question then answers
    for the whole group. Choices are left half made, which rules out nothing that will do.

    Args:
        program: with every gate shut; its costs play no part.
        gates: of a name the index of its row and the row that opens it, which allows more.
        deadline: past it nothing more is ruled out.
    """
    free = replace(program, costs=(0.0,) * len(program.costs))
    session = Session(free.half_made, deadline)
    if isinstance(session.solve(), Optimal):
        return frozenset(gates)
    return frozenset(_in_groups(session, gates, tuple(gates)))


def _in_groups(
    session: Session, gates: Mapping[str, Change], names: Sequence[str]
) -> Iterator[str]:
    if not names or isinstance(session.solve_with([gates[one] for one in names]), Infeasible):
        return
    if len(names) <= TOGETHER:
        yield from names
        return
    middle = len(names) // 2
    yield from _in_groups(session, gates, names[:middle])
    yield from _in_groups(session, gates, names[middle:])
