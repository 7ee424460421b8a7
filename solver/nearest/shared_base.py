"""Bars that take one change of base, as one program."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import fsum

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of
from ...constraints.model.mix import TRACE
from ...constraints.model.row import Row, Rows
from ..program.outcome import Program
from .distance import DISTANCES, Gap, Stage, gap_row, gaps
from .manner import Manner, manner_of
from .nearness import Nearness


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar as a multiple of what the first becomes, and its own on top.

    Args:
        formula: as it is made today.
        scale: how much of the change it takes.
        own: what it has beside as much of the first bar, below 0 where it has less [kg/kg].
        gaps: what counts as a difference from the formula.
    """

    formula: Composition
    scale: float
    own: tuple[float, ...]
    gaps: tuple[Gap, ...]

    @classmethod
    def of(cls, bench: Bench, formula: Composition, first: Composition, scale: float) -> "Bar":
        """What a bar keeps to itself when it takes so much of the first one's change."""
        frame = frame_of(bench)
        own = tuple(
            formula.parts.get(name, 0.0) - scale * first.parts.get(name, 0.0)
            for name in frame.index
        )
        return cls(formula, scale, own, gaps(bench, frame, formula))

    def moved(self, row: Row, made: Mapping[int, float]) -> Row:
        """A row of this bar as a row of what the first becomes.

        Args:
            row: over the bar's own shares and choices.
            made: choice column -> 0 or 1, for materials that this bar keeps or leaves out.
        """
        values: dict[int, float] = {}
        fixed = 0.0
        for column, value in zip(row.columns, row.values, strict=True):
            if column in made:
                fixed += value * made[column]
            elif column < len(self.own):
                fixed += value * self.own[column]
                values[column] = value * self.scale
            else:
                values[column] = value
        low, high = row.low - fixed, row.high - fixed
        return Row(row.rule, row.part, tuple(values), tuple(values.values()), low, high)

    def gap(self, gap: Gap, over: int) -> Row:
        """A distance of the bar, over the columns of the change."""
        own = fsum(share * self.own[column] for column, share in gap.shares.items())
        return gap_row(gap, over, self.scale, gap.target - own)


def _for_all(bench: Bench, bars: Sequence[Bar]) -> dict[str, tuple[float, float]]:
    """Bounds of what the first becomes, so that every bar stays within what is advised."""
    bounds: dict[str, tuple[float, float]] = {}
    index = frame_of(bench).index
    for bar in bars:
        for name, (_, most) in manner_of(bench, bar.formula).within.items():
            end = (most - bar.own[index[name]]) / bar.scale
            bounds[name] = (0.0, max(0.0, min(end, bounds.get(name, (0.0, end))[1])))
    return bounds


class Shared(Nearness):
    """Several bars over what the first becomes: its columns, and differences for each bar."""

    def __init__(
        self,
        bench: Bench,
        bars: Sequence[Bar],
        fixed: frozenset[str],
        *,
        nearly: float = 0.0,
        manner: Manner | None = None,
    ) -> None:
        first = bars[0].formula
        within = {name: (first.parts.get(name, 0.0),) * 2 for name in fixed}
        bounds = _for_all(bench, bars) if manner else {}
        super().__init__(bench, first, {**bounds, **within}, nearly=nearly, manner=manner)
        self._bars, self._fixed = tuple(bars), fixed
        self._per_bar = len(self._gaps)
        self._gaps = tuple(gap for bar in bars for gap in bar.gaps)
        self._first_switch = self._first_gap + 2 * len(self._gaps)
        self.columns = self._counted()

    def costs(self, stage: Stage) -> tuple[float, ...]:
        """Means over the bars; what they have beside each other costs the same whatever comes."""
        costs = super().costs(stage)
        if stage in {Stage.TOUCHED, Stage.COUNT}:
            return costs
        times = fsum(bar.scale for bar in self._bars) if stage is Stage.COST else 1.0
        return tuple(cost * times / len(self._bars) for cost in costs)

    def as_laid(self, rows: Sequence[Rows]) -> list[Row]:
        """Every rule of every bar, as a row of what the first becomes."""
        return [
            bar.moved(row, self._made(bar))
            for bar, one in zip(self._bars, rows, strict=True)
            for row in one.rows
        ]

    def laid(self, rows: Sequence[Rows]) -> Program:
        """Every rule of every bar in one program."""
        program = self.program(replace(rows[0], rows=()))
        differences = [
            bar.gap(gap, self._first_gap + 2 * (place * self._per_bar + index))
            for place, bar in enumerate(self._bars)
            for index, gap in enumerate(bar.gaps)
        ]
        others = [row for row in program.rows if row.part not in DISTANCES]
        others += self.as_laid(rows)
        lower = list(program.lower)
        for bar in self._bars:
            for column, own in enumerate(bar.own):
                lower[column] = max(lower[column], -own / bar.scale)
        return replace(
            program, lower=tuple(lower), rows=(*others, *self.as_laid(rows), *differences)
        )

    def _made(self, bar: Bar) -> dict[int, float]:
        """The choices of what stays as it is: made already, by this bar."""
        return {
            column: float(bar.formula.parts.get(name, 0.0) > 0)
            for name, column in self._frame.choices.items()
            if name in self._fixed
        }

    def made(self, first: Composition) -> list[Composition]:
        """Every bar, from what the first becomes."""
        return [self._one(bar, first) for bar in self._bars]

    def _one(self, bar: Bar, first: Composition) -> Composition:
        shares = {
            name: bar.scale * first.parts.get(name, 0.0) + bar.own[column]
            for name, column in self._frame.index.items()
        }
        parts = {name: share for name, share in shares.items() if share > TRACE}
        return Composition(bar.formula.name, parts)
