"""How little of a concession will do: limits moved in the steps in which a maker thinks of them.

A feasibility relaxation in whole steps: limits that give way together first move by the same
relative amount, then each is taken back as far as the others allow.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, inf

from ...constraints.model.row import Row
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Optimal, Program
from ..program.possible import Possible
from ..program.relaxed import keeps, loosened
from ..program.session import Session

FARTHEST = 1000.0
"""A limit that must move by more than so many times itself is no way out."""

NEAR = 1e-6
"""A limit so near to a whole step, as a part of it, stands at it."""

JUST = 1e-4
"""The part of a step to which ``Moved.needed`` is found."""

RowsWith = Callable[[str, float | None, float | None], Sequence[tuple[int, Row]]]


@dataclass(frozen=True, slots=True)
class Relaxable:
    """A rule whose limits may give way; both are at least 0 by default.

    Args:
        rule: its id.
        low: its lower limit, ``None`` where that side is free.
        high: its upper limit, the same.
        step: what the maker would move it by, in the unit of the limits; limits found are whole
            multiples of it.
        floor: as far down as its lower limit can sensibly go.
        ceiling: as far up as its upper limit can sensibly go.
    """

    rule: str
    low: float | None
    high: float | None
    step: float
    floor: float = 0.0
    ceiling: float = inf


@dataclass(frozen=True, slots=True)
class Moved:
    """A limit that gives way.

    Args:
        rule: id of the rule.
        side: "low" or "high".
        old: the limit as it stands.
        new: where it must go, a whole number of steps: one step less does not do.
        needed: where it just becomes possible, to a ten-thousandth of a step, with the other
            limits of the way out at ``new``.
    """

    rule: str
    side: str
    old: float
    new: float
    needed: float


@dataclass(frozen=True, slots=True)
class WayOut:
    """Something that, done alone, makes a composition possible.

    Args:
        moved: limits that give way.
        dropped: rules given up whole.
        give: how much gives way, the sum over limits of the change relative to the limit [-].
        cost: of the cheapest composition found with it [money/kg].
        x: the point found with it.
    """

    moved: tuple[Moved, ...]
    dropped: tuple[str, ...]
    give: float
    cost: float
    x: tuple[float, ...]


Concession = tuple[tuple[str, str], ...]
"""What gives way: (rule, "low" | "high" | "dropped")."""


class CutShortError(Exception):
    """The solver could not tell, had no time to, or was asked as often as allowed."""


class Tried:
    """A program without an answer, asked again and again with some of its rules giving way.

    How far limits move is counted in steps, one number for each limit of a concession.
    """

    def __init__(
        self,
        program: Program,
        limits: Mapping[str, Relaxable],
        rows_with: RowsWith,
        deadline: Deadline = NEVER,
    ) -> None:
        self._program = program
        self._limits = limits
        self._rows_with = rows_with
        self._possible = Possible(program, deadline)
        self._cheapest = Session(program, deadline)

    def ways(self, concession: Concession) -> Iterator[WayOut]:
        """The smallest way of making this concession, if there is one."""
        together = self._together(concession)
        if together is None:
            return
        steps = self._taken_back(concession, together)
        changed = self._changed(concession, self._at(concession, steps))
        outcome = self._cheapest.solve_with(changed)
        if not isinstance(outcome, Optimal) or not keeps(_put(self._program, changed), outcome.x):
            return
        moved = tuple(self._moved(concession, steps))
        yield WayOut(
            moved=moved,
            dropped=tuple(rule for rule, side in concession if side == "dropped"),
            give=sum(abs(m.new - m.old) / _size(self._limits[m.rule], m.side) for m in moved),
            cost=outcome.cost,
            x=outcome.x,
        )

    def _together(self, concession: Concession) -> list[int] | None:
        """Steps of the least common relative move, to within a step of each; ``None`` if none."""

        def steps(give: float) -> list[int]:
            return [self._steps(rule, side, give) for rule, side in concession]

        if not self._holds(concession, steps(FARTHEST)):
            return None
        low, high = 0.0, self._least_give(concession)
        while not self._holds(concession, steps(high)):
            low, high = high, min(2.0 * high, FARTHEST)
        while any(far - near > 1 for far, near in zip(steps(high), steps(low), strict=True)):
            middle = (low + high) / 2.0
            low, high = (low, middle) if self._holds(concession, steps(middle)) else (middle, high)
        return steps(high)

    def _least_give(self, concession: Concession) -> float:
        """The relative move that is one step of the limit with the coarsest step."""
        sizes = [
            self._limits[rule].step / _size(self._limits[rule], side)
            for rule, side in concession
            if side != "dropped"
        ]
        return max(sizes, default=FARTHEST)

    def _steps(self, rule: str, side: str, give: float) -> int:
        if side == "dropped":
            return 0
        limit = self._limits[rule]
        return ceil(give * _size(limit, side) / limit.step - NEAR)

    def _taken_back(self, concession: Concession, steps: list[int]) -> list[int]:
        """Each limit in turn moved as few steps as the others allow."""
        for k in range(len(steps)):
            few, enough = -1, steps[k]
            trial = enough - 1  # most often one step less is already too few
            while enough - few > 1:
                if self._holds(concession, [*steps[:k], trial, *steps[k + 1 :]]):
                    enough = trial
                else:
                    few = trial
                trial = (few + enough) // 2
            steps = [*steps[:k], enough, *steps[k + 1 :]]
        return steps

    def _moved(self, concession: Concession, steps: list[int]) -> Iterator[Moved]:
        """The limits at whole steps; where each just does is left to ``refined``."""
        at = self._at(concession, steps)
        for k, (rule, side) in enumerate(concession):
            if side != "dropped":
                inner = _limit_at(self._limits[rule], side, steps[k] - 1)
                yield Moved(rule, side, _old(self._limits[rule], side), at[k], inner)

    def refined(self, way: WayOut) -> WayOut:
        """A way out that says of each limit where it just does, not where it just does not."""
        concession = (
            *((one.rule, one.side) for one in way.moved),
            *((rule, "dropped") for rule in way.dropped),
        )
        at = [*(one.new for one in way.moved), *(0.0 for _ in way.dropped)]
        moved = tuple(
            replace(one, needed=self._needed(concession, at, k, one.needed))
            for k, one in enumerate(way.moved)
        )
        return replace(way, moved=moved)

    def _needed(self, concession: Concession, at: list[float], k: int, inner: float) -> float:
        """Between a limit that does not do and the next one that does."""
        outer, near = at[k], JUST * self._limits[concession[k][0]].step
        while abs(outer - inner) > near:
            middle = (outer + inner) / 2.0
            if self._possible_at(concession, [*at[:k], middle, *at[k + 1 :]]):
                outer = middle
            else:
                inner = middle
        return outer

    def _holds(self, concession: Concession, steps: list[int]) -> bool:
        return self._possible_at(concession, self._at(concession, steps))

    def _at(self, concession: Concession, steps: list[int]) -> list[float]:
        """The limits so many steps out; 0 stands for a rule dropped."""
        return [
            0.0 if side == "dropped" else _limit_at(self._limits[rule], side, count)
            for (rule, side), count in zip(concession, steps, strict=True)
        ]

    def _possible_at(self, concession: Concession, at: list[float]) -> bool:
        possible = self._possible.with_rows(self._changed(concession, at))
        if possible is None:
            raise CutShortError
        return possible

    def _changed(self, concession: Concession, at: list[float]) -> list[tuple[int, Row]]:
        changed: list[tuple[int, Row]] = []
        for (rule, side), limit in zip(concession, at, strict=True):
            if side == "dropped":
                rows = enumerate(self._program.rows)
                changed += [(index, loosened(row)) for index, row in rows if row.rule == rule]
            elif side == "low":
                changed += self._rows_with(rule, limit, self._limits[rule].high)
            else:
                changed += self._rows_with(rule, self._limits[rule].low, limit)
        return changed


def _old(limit: Relaxable, side: str) -> float:
    old = limit.low if side == "low" else limit.high
    return 0.0 if old is None else old


def _size(limit: Relaxable, side: str) -> float:
    """What a move is relative to: the limit, or a step where the limit is 0."""
    return abs(_old(limit, side)) or limit.step


def _limit_at(limit: Relaxable, side: str, steps: int) -> float:
    """The limit so many steps out; the first step goes to the next whole multiple of the step."""
    old = _old(limit, side)
    if steps <= 0:
        return old
    count = old / limit.step
    if side == "low":
        return max((ceil(count - NEAR) - steps) * limit.step, min(limit.floor, old))
    return min((floor(count + NEAR) + steps) * limit.step, max(limit.ceiling, old))


def _put(program: Program, changed: Sequence[tuple[int, Row]]) -> Program:
    rows = list(program.rows)
    for index, row in changed:
        rows[index] = row
    return replace(program, rows=tuple(rows))
