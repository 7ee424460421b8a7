"""A bench and a formula as one program: shares, choices, differences, switches."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import Frame, frame_of
from ...constraints.model.row import Row, Rows
from ..cheapest.cheapest import program_of
from ..program.outcome import Program
from .distance import DISTANCES, Gap, Stage, as_one, gap_row, gaps, touched_rows
from .manner import Manner, weighed_rows

HAIR = 1e-7
"""What bounds that are worked out leave beside [kg/kg], so that no rounding shuts a point out."""


class Layout:
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

    def shares(self) -> Iterator[tuple[str, float]]:
        """Every material and its share in the formula [kg/kg]."""
        return zip(self._frame.index, self._shares, strict=True)

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

    def laid(self, rows: Sequence[Rows]) -> Program:
        """``program`` over the rows of each bar: of one here."""
        return self.program(rows[0])

    def as_laid(self, rows: Sequence[Rows]) -> list[Row]:
        """The rules' rows of each bar as they stand in the program."""
        return list(rows[0].rows)

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
        bounds = [self.bound(stage, inf) for stage in Stage]
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

    def _bounds(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        ends = [self._within.get(name, (0.0, inf)) for name in self._frame.index]
        choices, switches = len(self._frame.choices), self.columns - self._first_switch
        lower = [low for low, _ in ends] + [0.0] * (self.columns - len(ends))
        upper = [high for _, high in ends] + [1.0] * choices
        upper += [inf] * (2 * len(self._gaps)) + [1.0] * switches
        return tuple(lower), tuple(upper)

    def bound(self, stage: Stage, high: float) -> Row:
        """A stage's distance, count or cost is at most this."""
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
