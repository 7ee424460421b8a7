"""A bench and a formula as one program, settled stage by stage."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import Frame, frame_of
from ...constraints.model.row import Row, Rows
from ...constraints.values.problem import CheckFailedError
from ..cheapest.cheapest import (
    chosen,
    composed,
    program_of,
)
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Infeasible, Optimal, Outcome, Program, Stopped
from ..program.session import Session
from ..strength.search import keeps_acidity
from .distance import DISTANCES, Gap, Stage, as_one, gap_row, gaps, touched_rows
from .manner import Manner, weighed_rows

SLACKS = (1e-9, 1e-8, 1e-7, 1e-6, 1e-5)
"""A stage may be missed by so much when the next is settled [kg/kg or money/kg].

The first that leaves a point: the solver itself keeps rows to 1e-7 only.
"""

ROUGH = frozenset({Stage.COUNT, Stage.CLASS, Stage.TOUCHED})
"""Stages that ask nothing of differences by kind or by substance."""

HAIR = 1e-7
"""What bounds that are worked out leave beside [kg/kg], so that no rounding shuts a point out."""

PRICED = 1e-9
"""A reduced cost or a row's price below this is none [share or money for a share]."""


class Nearness:
    """A bench and a formula laid out as one program: shares, choices, differences, switches."""

    def __init__(
        self,
        bench: Bench,
        formula: Composition,
        within: Mapping[str, tuple[float, float]],
        stages: Iterable[Stage] = DISTANCES,
        *,
        nearly: float = 0.0,
        manner: Manner | None = None,
    ) -> None:
        self._bench = bench
        self._frame: Frame = frame_of(bench)
        self._formula = formula
        self._shares = [formula.parts.get(name, 0.0) for name in self._frame.index]
        self._gaps: tuple[Gap, ...] = gaps(bench, self._frame, formula, stages)
        self._within, self._nearly = within, nearly
        self._first_gap = len(self._shares) + len(self._frame.choices)
        self._first_switch = self._first_gap + 2 * len(self._gaps)
        self._manner = manner
        self._few = 0 if manner is None else manner.few
        self.columns = self._counted()

    def _counted(self) -> int:
        """How many columns there are: a switch for each material, three where manner matters."""
        return self._first_switch + (1 if self._manner is None else 3) * len(self._shares)

    def rules_alone(self, rows: Rows) -> Program:
        """Only what the rules ask, at the least cost: what a clash of rules is looked for in."""
        return self.bounded(program_of(rows, self._frame.prices))

    def bounded(self, program: Program) -> Program:
        """A program of the rules alone with each share held within the ends given."""
        ends = [self._within.get(name, (0.0, inf)) for name in self._frame.index]
        shares = len(ends)
        return replace(
            program,
            lower=(*(low for low, _ in ends), *program.lower[shares:]),
            upper=(*(high for _, high in ends), *program.upper[shares:]),
        )

    def plain(self, rows: Rows) -> Program:
        """As ``program``, without the switches of touched materials."""
        program = self.program(rows)
        whole = [False] * self.columns
        for column in self._frame.choices.values():
            whole[column] = True
        kept = tuple(row for row in program.rows if row.part != Stage.TOUCHED)
        return replace(program, whole=tuple(whole), rows=kept)

    def program(self, rows: Rows) -> Program:
        """The rules' rows, the differences, and a free row for the bound of each stage."""
        switches = range(self._first_switch, self._first_switch + len(self._shares))
        lower, upper = self._bounds()
        differences = [
            gap_row(gap, self._first_gap + 2 * place) for place, gap in enumerate(self._gaps)
        ]
        most = self._most(rows)
        turned = [
            row
            for column, (share, switch) in enumerate(zip(self._shares, switches, strict=True))
            for row in touched_rows(column, share, switch, most[column])
        ]
        whole = [False] * self.columns
        for column in (*self._frame.choices.values(), *range(self._first_switch, self.columns)):
            whole[column] = True
        bounds = [self._bound(stage, inf) for stage in Stage]
        return Program(
            costs=(0.0,) * self.columns,
            lower=lower,
            upper=upper,
            whole=tuple(whole),
            rows=(*bounds, *rows.rows, *differences, *turned, *self._worth_weighing(most)),
        )

    def _most(self, rows: Rows) -> list[float]:
        """The largest share that each material may have, as far as one row alone says [kg/kg].

        The tighter, the less a switch leaves open, and the less there is to search.
        """
        most = [min(1.0, self._within.get(name, (0.0, 1.0))[1]) for name in self._frame.index]
        for row in rows.rows:
            for column, share in most_alone(row, len(most)):
                most[column] = min(most[column], share)
        return most

    def _worth_weighing(self, ceilings: Sequence[float]) -> Iterator[Row]:
        """What moves does so by what can be weighed."""
        if self._manner is None:
            return
        count = len(self._shares)
        ends = zip(self._shares, ceilings, self._manner.least, strict=True)
        for column, (share, most, least) in enumerate(ends):
            switch = self._first_switch + column
            switches = (switch, switch + count, switch + 2 * count)
            yield from weighed_rows(column, (share, max(most, share)), least, switches)

    def costs(self, stage: Stage) -> tuple[float, ...]:
        """What a stage minimises; distances are half the sum of both ends."""
        costs = [0.0] * self.columns
        if stage is Stage.COST:
            costs[: len(self._shares)] = self._frame.prices
        elif stage is Stage.TOUCHED:
            costs[self._first_switch :] = self._trouble()
        elif stage is Stage.COUNT:
            count = len(self._shares)
            costs[self._first_switch : self._first_switch + count] = [1.0] * count
        for place, gap in enumerate(self._gaps):
            part = as_one()[gap.stage] if stage is Stage.LIKE else float(gap.stage is stage)
            if part:
                column = self._first_gap + 2 * place
                over, under = (True, True) if self._manner is None else gap.costs
                costs[column] = over * 0.5 * gap.weight * part
                costs[column + 1] = under * 0.5 * gap.weight * part
        return tuple(costs)

    def _trouble(self) -> list[float]:
        if self._manner is None:
            return [1.0] * len(self._shares)
        counts, slight = self._manner.trouble, self._manner.slight
        return [*counts, *(slight * count for count in counts), *[0.0] * len(counts)]

    def staged(
        self, program: Program, order: Sequence[Stage], deadline: Deadline = NEVER
    ) -> Outcome:
        """Settle one stage after the other; the last point, or what kept the first from one."""
        lean = _without_finer(program)
        asked = [
            lean if set(order[: place + 1]) <= ROUGH else program for place in range(len(order))
        ]
        session, last = Session(asked[0], deadline), asked[0]
        least: dict[Stage, float] = {}
        outcome: Outcome = Stopped("nothing was asked")
        for stage, over in zip(order, asked, strict=True):
            if over is not last:
                session, last = Session(over, deadline), over
            found = self._next(session, over, stage, least, deadline)
            if not isinstance(found, Optimal):
                return _refused(found, stage, first=not least)
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
        deadline: Deadline,
    ) -> Outcome:
        """The best of a stage, those before it held as closely as the solver's digits allow."""
        outcome: Outcome = Stopped("nothing was asked")
        for slack in SLACKS if least else SLACKS[:1]:
            bounds = [
                (list(Stage).index(one), self._bound(one, value + slack))
                for one, value in least.items()
            ]
            outcome = session.solve_for(self.costs(stage), bounds)
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

    def _bounds(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        ends = [self._within.get(name, (0.0, inf)) for name in self._frame.index]
        choices, switches = len(self._frame.choices), self.columns - self._first_switch
        lower = [low for low, _ in ends] + [0.0] * (self.columns - len(ends))
        upper = [high for _, high in ends] + [1.0] * choices
        upper += [inf] * (2 * len(self._gaps)) + [1.0] * switches
        return tuple(lower), tuple(upper)

    def _bound(self, stage: Stage, high: float) -> Row:
        costs = self.costs(stage)
        columns = tuple(column for column, cost in enumerate(costs) if cost)
        return Row("", f"{stage} at most", columns, tuple(costs[c] for c in columns), -inf, high)


def most_alone(row: Row, shares: int) -> Iterator[tuple[int, float]]:
    """The largest value of each share that a row allows where no other helps it, a hair above.

    Shares are at least 0, so where no coefficient is below 0 each term alone is within the limit.
    """
    if row.high == inf or row.high < 0 or any(value < 0 for value in row.values):
        return
    for column, value in zip(row.columns, row.values, strict=True):
        if column < shares and value > 0:
            yield column, row.high / value + HAIR


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


def best_points(program: Program, optimal: Optimal) -> Program:
    """The program held to where a linear one is as good: what has a price stays at its limit."""
    columns = zip(program.lower, program.upper, optimal.x, optimal.column_prices, strict=True)
    ends = [
        _end(low, high, x) if abs(price) > PRICED else (low, high)
        for low, high, x, price in columns
    ]
    rows = zip(program.rows, optimal.row_prices, strict=True)
    values = optimal.x
    return replace(
        program,
        lower=tuple(low for low, _ in ends),
        upper=tuple(high for _, high in ends),
        rows=tuple(_tight(row, values) if abs(price) > PRICED else row for row, price in rows),
    )


def _tight(row: Row, x: Sequence[float]) -> Row:
    value = sum(x[column] * factor for column, factor in zip(row.columns, row.values, strict=True))
    low, high = _end(row.low, row.high, value)
    return replace(row, low=low, high=high)


def _end(low: float, high: float, value: float) -> tuple[float, float]:
    """Both limits at the one where a value stands."""
    return (low, low) if abs(value - low) <= abs(value - high) else (high, high)


def _refused(found: Outcome, stage: Stage, *, first: bool) -> Outcome:
    if first or isinstance(found, Stopped):
        return found
    message = f"with the stages before it held, {stage} is {type(found).__name__.lower()}"
    raise CheckFailedError(message)
