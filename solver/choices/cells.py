"""What a choice made the other way costs at least, whatever the ionic strength of the answer.

The cells of the search for the finding are kept in the solver, without whole-number demands, and
asked again with one choice held: the last basis is nearly right, and what comes out bounds every
composition with that choice. A cell is halved where that is not close enough, once for all choices.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import inf

from ...constraints.acidity.cell import Cell
from ...constraints.model.brief import Bench
from ...constraints.rules.outer import outer_rows
from ..cheapest.cheapest import Finding, as_it_is, written_for
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Infeasible, Optimal, Outcome, Program
from ..program.session import Session
from ..proof.bounding import bound_in
from ..proof.duality import Grid, on_grid
from .ways import Way

MOST_HALVED = 10
"""So many cells are halved for one choice before it is left to a search."""


class Held:
    """The rows of a cell, kept in the solver without whole-number demands.

    Args:
        program: the rows with costs and bounds.
        deadline: when to give up.
        halves: its halves, where it can be halved.
    """

    def __init__(
        self,
        program: Program,
        deadline: Deadline = NEVER,
        halves: Callable[[], tuple["Held", ...]] = tuple,
    ) -> None:
        self._program, self._deadline, self._halved = program, deadline, halves

    def with_choice(self, way: Way) -> Outcome:
        """The least cost with one choice made, the others half made."""
        return self._session.solve_with(bounds=[way.bound])

    def bound(self, way: Way, optimal: Optimal) -> Fraction | None:
        """What that answer shows exactly: no composition with the choice costs less."""
        grid, (column, value, _) = self._grid, way.bound
        lower, upper = [*grid.lower], [*grid.upper]
        lower[column] = upper[column] = int(value) * grid.per
        return bound_in(grid, self._program, optimal, lower, upper)

    @cached_property
    def halves(self) -> tuple["Held", ...]:
        """Its halves; none where it is not to be halved."""
        return self._halved()

    @cached_property
    def _session(self) -> Session:
        return Session(self._program.half_made, self._deadline, bases=False).warm()

    @cached_property
    def _grid(self) -> Grid:
        return on_grid(self._program)


@dataclass(frozen=True, slots=True)
class Bound:
    """What a choice costs at least.

    Args:
        way: the choice.
        cells: those that are not empty, with what the solver said of them, the cheapest first.
    """

    way: Way
    cells: tuple[tuple[Held, Optimal], ...]

    @property
    def cost(self) -> float:
        """By the solver [money/kg]; ``inf`` where no composition has the choice."""
        return self.cells[0][1].cost if self.cells else inf

    def shows(self, needed: float) -> bool:
        """Whether exact arithmetic shows that nothing with the choice costs less than so much."""
        bounds = (cell.bound(self.way, said) for cell, said in self.cells)
        return all(bound is not None and float(bound) >= needed for bound in bounds)

    def raised(self, needed: float) -> "Bound | None":
        """The same from smaller cells, until it says so much; ``None`` where it never does."""
        now = self
        for _ in range(MOST_HALVED + 1):
            if now.cost >= needed:
                return now
            (first, _), *rest = now.cells
            fewer = bound_of(first.halves, self.way) if first.halves else None
            if fewer is None:
                return None
            now = Bound(self.way, _cheapest_first((*fewer.cells, *rest)))
        return None


def cells_of(bench: Bench, finding: Finding, deadline: Deadline) -> tuple[Held, ...]:
    """The cells that the search for a finding left, or its own rows where no rule speaks of pH."""
    if not finding.parts:
        return (Held(finding.program, deadline),)
    written = written_for(bench, as_it_is)

    def held(cell: Cell) -> Held:
        program = written(outer_rows(bench, cell))
        return Held(program, deadline, lambda: tuple(map(held, cell.halves)))

    return tuple(held(part.cell) for part in finding.parts)


def bound_of(cells: Sequence[Held], way: Way) -> Bound | None:
    """What a choice costs at least in all cells; ``None`` where the solver gave up on one."""
    found = []
    for cell in cells:
        outcome = cell.with_choice(way)
        if isinstance(outcome, Optimal):
            found.append((cell, outcome))
        elif not isinstance(outcome, Infeasible):
            return None
    return Bound(way, _cheapest_first(found))


def _cheapest_first(
    cells: Sequence[tuple[Held, Optimal]],
) -> tuple[tuple[Held, Optimal], ...]:
    return tuple(sorted(cells, key=lambda one: one[1].cost))
