"""The least over a bench's rows whatever the ionic strength of the answer, and nothing overlooked.

pH rows are exact at one ionic strength, and that of the answer is not known beforehand. So a cell
of pH and ionic strength is asked with its outer rows: what they cost at least, no composition
inside the cell undercuts, and where they leave no point there is none. Compositions themselves come
from asking at one ionic strength, again and again until it is that of the answer. Cells are halved
until the two meet, or nothing is left of them.
"""

from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf

from ...constraints.acidity.activity import davies
from ...constraints.acidity.cell import Cell, widest
from ...constraints.acidity.charge import equilibrium, in_water
from ...constraints.acidity.constants import constants
from ...constraints.acidity.prediction import bracket
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.mix import TRACE
from ...constraints.model.row import Rows
from ...constraints.rules.judging import judge
from ...constraints.rules.outer import acidity_rules, capped_rows, outer_rows, point_rows, trusted
from ...constraints.rules.rows import rows_of
from ..program.deadline import NEVER, TIME_RAN_OUT, Deadline
from ..program.fixed_point import at_rest, settled
from ..program.outcome import Infeasible, Optimal, Outcome, Program, Stopped
from ..program.session import Session
from .composing import composed
from .parts import Part, Sought, Written

CLOSE = 1e-4
"""A composition dearer by no more of itself than what is proved counts as the cheapest [-]."""

NOTHING = 1e-7
"""A difference in cost below this is none [money/kg]."""

MOST_CELLS = 240
"""Cells asked before the search settles for a gap."""

TRIED = (0.02, 0.1, 0.3)
"""Ionic strengths at which rows that leave nothing at another are asked again [mol/kg water]."""

PH_SLIP = 1e-4
"""A composition that misses a band by more is not taken for one that keeps it [pH]."""

ALIKE = 2e-3
"""Ionic strengths whose activity coefficients differ by less come to rest at the same [log10]."""

TOP = 1.0 - 1e-5
"""How near to the end of what the model is trusted for a composition is tried."""

SMALL = Cell((0.0, 1e-4), (0.0, 1e-5))
"""A cell no wider than this either way is not halved again."""

MOST_ROUNDS = 12
"""Rounds in which an ionic strength comes to rest, or does not."""


def sought(
    bench: Bench, written: Written, *, start: float = 0.0, deadline: Deadline = NEVER
) -> Sought:
    """The least cost over a bench's rows, at whatever ionic strength.

    Args:
        bench: what was read.
        written: turns rows into the program to be solved.
        start: an ionic strength to begin with [mol/kg water].
        deadline: when to give up.
    """
    if not acidity_rules(bench):
        rows = rows_of(bench, start)
        program = written(rows)
        return Sought(Session(program, deadline).solve(), rows, program, ())
    if any(rule.within is not None for rule in acidity_rules(bench)):
        return _at_one_strength(bench, written, start, deadline)
    return _Search(bench, written, start, deadline).run()


def _at_one_strength(bench: Bench, written: Written, start: float, deadline: Deadline) -> Sought:
    """Where a pH is to hold for every lot: at the ionic strength of the answer alone.

    No bounds are known for the worst lots of a whole cell, so no cells are handed back, and what is
    proved of the answer is proved at its own ionic strength.
    """

    def composition_of(outcome: Outcome) -> Composition | None:
        return composed(bench, outcome) if isinstance(outcome, Optimal) else None

    def ask(rows: Rows) -> Outcome:
        return Session(written(rows), deadline).solve()

    outcome, rows, rests = settled(bench, ask, composition_of, start)
    for strength in TRIED:
        if isinstance(outcome, Infeasible):
            outcome, rows, rests = settled(bench, ask, composition_of, strength)
    if isinstance(outcome, Optimal) and not rests:
        outcome = Stopped("the ionic strength did not come to rest")
    return Sought(outcome, rows, written(rows), ())


@dataclass(frozen=True, slots=True)
class _Point:
    """A composition that keeps the rules, and the rows whose optimum it is."""

    outcome: Optimal
    rows: Rows
    program: Program


class _Search:
    """Best first over cells, until the best point known costs hardly more than any bound."""

    def __init__(self, bench: Bench, written: Written, start: float, deadline: Deadline) -> None:
        self._bench, self._written, self._start = bench, written, start
        self._deadline = deadline
        self._dilution = acidity_rules(bench)[0].dilution
        self._best: _Point | None = None
        self._waiting: list[tuple[float, int, Part]] = []
        self._settled: list[Part] = []
        self._stuck: list[Part] = []
        self._begun: list[float] = []
        self._last: dict[int, tuple[float, ...]] = {}
        self._asked = 0

    def run(self) -> Sought:
        """Search."""
        first = self._look(trusted(self._bench))
        if not isinstance(first.outcome, Optimal | Infeasible):
            return self._ended(first.outcome)
        self._try_at_rest(self._start)
        while self._waiting and not self._done(self._waiting[0][0]):
            if self._asked >= MOST_CELLS or self._deadline.passed():
                break
            _, _, part = heappop(self._waiting)
            if part.cell.within(SMALL):
                self._stuck.append(part)
                continue
            for half in part.cell.halves:
                self._look(half)
        return self._found()

    def _done(self, bound: float) -> bool:
        return self._best is not None and bound >= least_needed(self._best.outcome.cost)

    def _look(self, cell: Cell) -> Part:
        """Ask a cell; what it leaves open waits, with compositions tried on the way."""
        outcome = self._solve(self._written(outer_rows(self._bench, cell)))
        self._asked += 1
        if isinstance(outcome, Infeasible):
            part = Part(cell, inf, outcome)
            self._settled.append(part)
            return part
        bound = outcome.cost if isinstance(outcome, Optimal) else -inf
        part = Part(cell, bound, outcome)
        heappush(self._waiting, (bound, self._asked, part))
        if isinstance(outcome, Optimal) and not self._done(bound):
            self._try_near(cell, outcome)
        return part

    def _solve(self, program: Program) -> Outcome:
        # one cell is much like another: choices that did for one are where the next begins
        session = Session(program, self._deadline, guessing=False)
        outcome = session.solve_for(program.costs, near=self._last.get(len(program.costs)))
        if isinstance(outcome, Optimal):
            self._last[len(outcome.x)] = outcome.x
        return outcome

    # --- compositions -------------------------------------------------------------------------

    def _try_near(self, cell: Cell, outcome: Optimal) -> None:
        """Compositions near a cell's cheapest point, brought to their own ionic strength."""
        ph, strength = self._state(self._composition(outcome))
        self._try_at_rest(min(strength, TOP * constants().trusted_to))
        if not self._done(outcome.cost):
            ph = min(max(ph, cell.ph[0]), cell.ph[1])
            strength = min(max(strength, cell.salt[0]), cell.salt[1], TOP * constants().trusted_to)
            self._try(point_rows(self._bench, ph, strength))

    def _try_at_rest(self, strength: float) -> None:
        """Ask at one ionic strength, then at that of the answer, until they are the same."""
        if any(abs(davies(strength) - davies(other)) < ALIKE for other in self._begun):
            return
        self._begun.append(strength)
        most = TOP * constants().trusted_to
        rows = rows_of(self._bench, strength)
        for _ in range(MOST_ROUNDS):
            if self._done(self._lowest()):
                return
            point = self._try(rows)
            if point is None:
                return
            ph, found = self._state(self._composition(point.outcome))
            if found > most:
                strength, rows = most, capped_rows(self._bench, ph, most)
                continue
            if at_rest(found, strength):
                return
            strength, rows = found, rows_of(self._bench, found)

    def _try(self, rows: Rows) -> _Point | None:
        """The cheapest at one ionic strength; kept where it is the best and keeps the rules."""
        program = self._written(rows)
        outcome = self._solve(program)
        if not isinstance(outcome, Optimal):
            return None
        point = _Point(outcome, rows, program)
        cheaper = self._best is None or outcome.cost < self._best.outcome.cost - NOTHING
        if cheaper and keeps_acidity(self._bench, self._composition(outcome)):
            self._best = point
        return point

    def _composition(self, outcome: Optimal) -> Composition:
        return composed(self._bench, outcome)

    def _state(self, composition: Composition) -> tuple[float, float]:
        parts = self._bench.parts_of(composition)
        return equilibrium(in_water(parts, self._bench.substances, self._dilution))

    # --- what it came to ----------------------------------------------------------------------

    def _lowest(self) -> float:
        return self._waiting[0][0] if self._waiting else inf

    def _parts(self) -> tuple[Part, ...]:
        waiting = (part for _, _, part in sorted(self._waiting, key=lambda one: one[:2]))
        return (*self._settled, *self._stuck, *waiting)

    def _found(self) -> Sought:
        best = self._best
        if best is not None:
            return Sought(best.outcome, best.rows, best.program, self._parts())
        if self._waiting or self._stuck:
            unsettled = "not settled for every ionic strength"
            return self._ended(Stopped(TIME_RAN_OUT if self._deadline.passed() else unsettled))
        return self._ended(Infeasible())

    def _ended(self, outcome: Outcome) -> Sought:
        rows = outer_rows(self._bench, widest())
        program = self._written(rows)
        if isinstance(outcome, Infeasible):
            if isinstance(self._solve(program), Infeasible):
                everywhere = Part(widest(), inf, outcome)
                return Sought(outcome, rows, program, (everywhere,))
            rows = rows_of(self._bench, self._start)
            program = self._written(rows)
        return Sought(outcome, rows, program, self._parts())


def least_needed(cost: float) -> float:
    """What must be shown to be out of reach below a cost before it is called the cheapest."""
    return cost - max(CLOSE * abs(cost), NOTHING)


def keeps_acidity(bench: Bench, composition: Composition) -> bool:
    """Whether a composition keeps the rules on pH closely, at its own ionic strength."""
    rules = [
        rule
        for rule in acidity_rules(bench)
        if rule.when is None or composition.parts.get(rule.when, 0.0) > TRACE
    ]
    if any(rule.within is not None for rule in rules):
        return all(one.kept for one in judge(bench.with_only(rules), composition))
    if not rules:
        return True
    found = bracket(bench.parts_of(composition), bench.substances, rules[0].dilution)
    lows = (rule.low for rule in rules if rule.low is not None)
    highs = (rule.high for rule in rules if rule.high is not None)
    return (
        found.valid
        and found.low >= max(lows, default=-inf) - PH_SLIP
        and found.high <= min(highs, default=inf) + PH_SLIP
    )
