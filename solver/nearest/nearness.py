"""A formula brought near to the rules, settled stage by stage."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ...constraints.model.brief import Composition
from ...constraints.model.row import Row
from ...constraints.values.problem import CheckFailedError
from ..cheapest.chosen import chosen
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Infeasible, Optimal, Outcome, Program, Stopped
from ..program.session import Session
from ..strength.composing import composed
from ..strength.search import keeps_acidity
from .best_points import best_points
from .distance import DISTANCES, Stage
from .layout import Layout

SLACKS = (1e-9, 1e-8, 1e-7, 1e-6, 1e-5)
"""A stage may be missed by so much when the next is settled [kg/kg or money/kg].

The first that leaves a point: the solver itself keeps rows to 1e-7 only.
"""

ROUGH = frozenset({Stage.COUNT, Stage.CLASS, Stage.TOUCHED})
"""Stages that ask nothing of differences by kind or by substance."""


class Nearness(Layout):
    """A bench and a formula laid out as one program, and its stages settled one by one."""

    def staged(
        self, program: Program, order: Sequence[Stage], deadline: Deadline = NEVER
    ) -> Outcome:
        """Settle one stage after the other; the last point, or what kept the first from one."""
        if order[:1] == (Stage.COUNT,) and self._few:
            few = self._staged(program, order[1:], {Stage.COUNT: float(self._few)}, deadline)
            if not isinstance(few, Infeasible):
                return few
        return self._staged(program, order, {}, deadline)

    def _staged(
        self,
        program: Program,
        order: Sequence[Stage],
        least: dict[Stage, float],
        deadline: Deadline,
    ) -> Outcome:
        """The same with some stages held already: more is not asked of them than that."""
        held = frozenset(least)
        lean = _without_finer(program)
        asked = [
            lean if set(order[: place + 1]) <= ROUGH else program for place in range(len(order))
        ]
        session, last = Session(asked[0], deadline, guessing=False), asked[0]
        outcome: Outcome = Stopped("nothing was asked")
        for stage, over in zip(order, asked, strict=True):
            if over is not last:
                session, last = Session(over, deadline, guessing=False), over
            near = outcome.x if isinstance(outcome, Optimal) else None
            found = self._next(session, over, stage, least, near=near, deadline=deadline)
            if not isinstance(found, Optimal):
                return _refused(found, stage, first=least.keys() == held)
            # what is let go is let go to touch fewer materials: once those stand, no more is
            free = self._nearly if stage in DISTANCES and Stage.TOUCHED not in least else 0.0
            outcome, least[stage] = found, found.cost + free
            if stage is Stage.COUNT:
                least[stage] = max(round(found.cost), self._few)
        return outcome

    def _next(
        self,
        session: Session,
        program: Program,
        stage: Stage,
        least: Mapping[Stage, float],
        *,
        near: Sequence[float] | None,
        deadline: Deadline,
    ) -> Outcome:
        """The best of a stage, those before it held as closely as the solver's digits allow."""
        outcome: Outcome = Stopped("nothing was asked")
        for slack in SLACKS if least else SLACKS[:1]:
            bounds = [
                (list(Stage).index(one), self.bound(one, value + slack))
                for one, value in least.items()
            ]
            outcome = session.solve_for(self.costs(stage), bounds, near)
            if isinstance(outcome, Stopped) and not deadline.passed():
                outcome = self._afresh(program, stage, bounds)
            lost = isinstance(outcome, Stopped) and not deadline.passed()
            if not lost and not isinstance(outcome, Infeasible):
                break
        return outcome

    def _afresh(self, program: Program, stage: Stage, bounds: Iterable[tuple[int, Row]]) -> Outcome:
        """The same question to a solver that remembers nothing: a warm one can lose its way."""
        rows = list(program.rows)
        for index, row in bounds:
            rows[index] = row
        return Session(replace(program, costs=self.costs(stage), rows=tuple(rows))).solve()

    def settle(self, program: Program, outcome: Optimal, order: Sequence[Stage]) -> Composition:
        """The composition with every choice made and what is not touched at its old share."""
        fixed = chosen(program, outcome.x)
        if Stage.TOUCHED in order:
            fixed = self._standing(fixed)
        again = self.on_faces(fixed, _linear(order))
        composition = composed(self._bench, again or outcome)
        if not keeps_acidity(self._bench, composition):  # a tie led elsewhere
            composition = composed(self._bench, outcome)
        return Composition(self._formula.name, composition.parts)

    def again(self, program: Program, outcome: Optimal, order: Sequence[Stage]) -> Optimal | None:
        """The same materials touched over rows that moved by a hair; ``None`` where none fits."""
        return self.on_faces(self._standing(chosen(program, outcome.x)), _linear(order))

    def on_faces(self, program: Program, order: Sequence[Stage]) -> Optimal | None:
        """Settle the stages on the set of best points of each, not on a bound near it.

        Where that set is too thin for the solver's digits, on bounds after all. ``None`` where
        there is no point to begin with. The program has no whole numbers.
        """
        found: Optimal | None = None
        held = program
        for stage in order:
            outcome = Session(replace(held, costs=self.costs(stage))).solve()
            if not isinstance(outcome, Optimal):
                again = self.staged(program, order) if found is not None else None
                return again if isinstance(again, Optimal) else found
            found, held = outcome, best_points(held, outcome)
        return found

    def _standing(self, program: Program) -> Program:
        lower, upper = list(program.lower), list(program.upper)
        for column, share in enumerate(self._shares):
            if upper[self._first_switch + column] < 0.5:
                lower[column] = upper[column] = share
        return replace(program, lower=tuple(lower), upper=tuple(upper))


def _without_finer(program: Program) -> Program:
    """A program without the differences by kind and by substance: where none of them counts."""
    finer = {Stage.KIND, Stage.SUBSTANCE}
    return replace(program, rows=tuple(row for row in program.rows if row.part not in finer))


def _linear(order: Iterable[Stage]) -> list[Stage]:
    """What is left to settle once it stands which materials are touched, each stage once."""
    stages = (
        one
        for stage in order
        for one in ((*DISTANCES, Stage.COST) if stage is Stage.LIKE else (stage,))
    )
    return [stage for stage in dict.fromkeys(stages) if stage is not Stage.TOUCHED]


def _refused(found: Outcome, stage: Stage, *, first: bool) -> Outcome:
    if first or isinstance(found, Stopped):
        return found
    message = f"with the stages before it held, {stage} is {type(found).__name__.lower()}"
    raise CheckFailedError(message)
