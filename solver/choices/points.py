"""A composition with a choice made the other way, from the few materials that it may need."""

from collections import defaultdict
from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import replace
from heapq import nsmallest
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import Frame, frame_of
from ...constraints.model.row import Row
from ...constraints.model.verdict import Verdict
from ...constraints.rules.holding import rows_held
from ...constraints.rules.judging import judge
from ...constraints.rules.outer import BALANCE, acidity_rules
from ...constraints.rules.rows import rows_of
from ..cheapest.cheapest import Finding, program_of
from ..cheapest.chosen import gated
from ..program.deadline import Deadline
from ..program.excerpt import Excerpts, without
from ..program.fixed_point import ionic_strength
from ..program.outcome import Optimal
from ..program.session import Session
from ..strength.composing import adds_up, composed
from ..strength.search import PH_SLIP

MADE = 1e-6
"""A choice half made by no more than this is not made [-]."""

MORE = 40
"""So many materials are kept beside those in use, the ones that come nearest to being of use."""

ROUNDS = 4
"""So often the ionic strength of an answer is put in place of the one assumed."""


_NOTHING = Row("", "", (), (), -inf, inf)


class Points:
    """The rows of a finding, to be asked with its choices held one way or another."""

    def __init__(self, bench: Bench, finding: Finding, deadline: Deadline) -> None:
        rows, program = finding.rows, finding.program
        if any(row.rule == BALANCE for row in rows.rows):
            # Rows that only this finding's pH and salt keep would leave the others nothing.
            rows = rows_of(bench, rows.ionic_strength)
            program = program_of(rows, bench.prices)
        self._bench, self._rows, self._program = bench, rows, program
        self._deadline, self._frame = deadline, frame_of(bench)
        self._excerpts, self._gated = Excerpts(program), tuple(gated(program))
        places = defaultdict(list)
        for place, row in enumerate(rows.rows):
            places[row.rule].append(place)
        self._acidity = [(rule, places[rule.id]) for rule in acidity_rules(bench)]

    def near(self, half: Optimal) -> Optimal | None:
        """The cheapest with the choices that an answer leans to, if it keeps every rule.

        Args:
            half: an answer with choices half made, and its reduced costs.
        """
        first = len(self._rows.materials)
        made = [float(value > MADE) for value in half.x]
        held = {first + k: value for k, value in enumerate(made[first:])}
        columns = self._few(half, {share for choice, share in self._gated if not made[choice]})
        frame = _few_of(self._frame, columns)
        strength = self._rows.ionic_strength
        for _ in range(ROUNDS):
            program = self._excerpts.over(columns, held, self._at(frame, strength, held))
            outcome = Session(program, self._deadline, bases=False).solve()
            if not isinstance(outcome, Optimal):
                return None
            point = self._whole(outcome, columns, held)
            composition = composed(self._bench, point)
            if not adds_up(composition):
                return None
            if self._keeps(composition):
                return point
            strength = ionic_strength(self._bench, composition)
        return None

    def _few(self, half: Optimal, out: Container[int]) -> list[int]:
        """The materials that are used, and those that come nearest to it; none left out."""
        shares = [j for j in range(len(self._rows.materials)) if j not in out]
        used = [j for j in shares if half.x[j] > 0.0]
        more = nsmallest(len(used) + MORE, shares, key=half.column_prices.__getitem__)
        return sorted({*used, *more})

    def _at(
        self, frame: Frame, strength: float, held: Mapping[int, float]
    ) -> Iterator[tuple[int, Row]]:
        """The rows that depend on the ionic strength, over a few materials."""
        first, few = len(self._rows.materials), len(frame.materials)
        moved = {column - first + few: value for column, value in held.items()}
        for rule, places in self._acidity:
            idle = rule.when is not None and not moved[frame.choices[rule.when]]
            new = [_NOTHING] * len(places) if idle else rows_held(rule, frame, strength)
            for place, row in zip(places, new, strict=True):
                yield place, without(row, moved, few)

    def _whole(
        self, outcome: Optimal, columns: Sequence[int], held: Mapping[int, float]
    ) -> Optimal:
        """The answer over all columns."""
        x = [0.0] * len(self._program.costs)
        for column, value in (*zip(columns, outcome.x, strict=True), *held.items()):
            x[column] = value
        return Optimal(outcome.cost, tuple(x), (), (), None)

    def _keeps(self, composition: Composition) -> bool:
        return all(map(_kept, judge(self._bench, composition)))


def _few_of(frame: Frame, columns: Sequence[int]) -> Frame:
    """A few materials, for rules that ask each material by itself."""
    return replace(
        frame,
        materials=tuple(frame.materials[j] for j in columns),
        prices=tuple(frame.prices[j] for j in columns),
        choices={name: len(columns) + k for k, name in enumerate(frame.choices)},
        charges={},
    )


def _kept(verdict: Verdict) -> bool:
    """Whether a rule is kept, one on the dispersion as closely as an answer must keep it."""
    rooms = (verdict.room_low, verdict.room_high)
    close = not verdict.rule.dispersed or all(room is None or room >= -PH_SLIP for room in rooms)
    return verdict.kept and close
