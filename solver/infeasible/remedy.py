"""Ways out when no composition keeps the rules: give way a little, or put something on the shelf.

Every way out is tried: it comes with a point that was found with it and checked against its rows.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import ceil, floor, inf

from ...constraints.model.row import WHOLE, Row
from ..program.outcome import Optimal, Program
from ..program.relaxed import keeps, loosened
from ..program.session import Session
from .conflict import cures

FARTHEST = 1000.0
"""A limit that must move by more than so many times itself is no way out."""

NEAR = 1e-6
"""The part of a step to which ``Moved.needed`` is found."""

SLIVER = 1e-9
"""Room above the least share of a material of unknown price, so that it can be met [kg/kg]."""

MOST_CURES = 40
"""So many smallest sets of rules to give way are tried."""

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
        needed: where it just becomes possible, to a millionth of a step, with the other limits of
            the way out at ``new``.
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
        added: the material put on the shelf, if that is the way out.
        give: how much gives way, the sum over limits of the change relative to the limit [-].
        cost: of the cheapest composition found with it [money/kg]; of its other materials alone
            where the price of the added one is not known.
        priced: whether all prices in ``cost`` are known.
        x: the point found with it, the share of the added material last.
    """

    moved: tuple[Moved, ...]
    dropped: tuple[str, ...]
    added: str | None
    give: float
    cost: float
    priced: bool
    x: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Candidate:
    """A material that is not on the shelf.

    Args:
        name: its name.
        cost: its price [money/kg], ``None`` where it is not known.
        values: row index -> its coefficient; rows not named do not see it.
        most: the largest share it may have.
    """

    name: str
    cost: float | None
    values: Mapping[int, float]
    most: float = 1.0


def give_way(
    program: Program,
    relaxable: Sequence[Relaxable],
    rows_with: RowsWith,
    *,
    droppable: frozenset[str] = frozenset(),
    keep: frozenset[str] = frozenset({WHOLE}),
    most: int = 5,
    most_rules: int = 3,
) -> tuple[WayOut, ...]:
    """The smallest concessions that make a program possible.

    Rules that are neither relaxable nor droppable, laws above all, hold throughout. Where several
    rules must give way together their limits first move by the same relative amount; then each is
    taken back as far as the others allow, so that none could stay a step nearer to where it was.

    Args:
        program: what has no answer.
        relaxable: rules whose limits may move.
        rows_with: rows of a rule with other limits, as indices and the rows to put there; only
            wider limits are asked for, and wider limits must not forbid what narrower ones allow.
        droppable: rules, such as yes/no ones, that may be given up whole.
        keep: rows that are not rules.
        most: so many ways at most.
        most_rules: no way that touches more rules.

    Returns:
        Those that drop the fewest rules first, then those that give the least, then the cheapest.
        None when the program has an answer, or when no such concession gives it one.
    """
    limits = {rule.rule: rule for rule in relaxable}
    free = limits.keys() | droppable
    fixed = frozenset(row.rule for row in program.rows if row.rule not in free)
    tried = _Tried(program, limits, rows_with)
    ways = [
        way
        for cure in cures(program, keep | fixed, most=MOST_CURES, most_rules=most_rules).found
        for concession in product(*(_options(rule, limits, droppable) for rule in cure))
        for way in tried.ways(concession)
    ]
    return tuple(sorted(ways, key=lambda way: (len(way.dropped), way.give, way.cost))[:most])


def from_catalogue(
    program: Program, candidates: Sequence[Candidate], *, most: int = 5
) -> tuple[WayOut, ...]:
    """Materials any one of which, put on the shelf, makes a program possible.

    Returns:
        Those with a known price first, by the cost of the cheapest composition with them. Where the
        price is not known the composition takes as little of it as it can, and those follow by the
        share it takes.
    """
    possible = Session(_with_all(program, candidates))
    ways: list[WayOut] = []
    for place, candidate in enumerate(candidates):
        gate = _gate(program, place, candidate.most)
        if isinstance(possible.solve_with([(len(program.rows) + place, gate)]), Optimal):
            ways += _added(program, candidate)
    return tuple(sorted(ways, key=_by_price)[:most])


_Concession = tuple[tuple[str, str], ...]  # (rule, "low" | "high" | "dropped")


def _options(
    rule: str, limits: Mapping[str, Relaxable], droppable: frozenset[str]
) -> list[tuple[str, str]]:
    """How a rule can give way; no point ever misses it on both sides, so one side is enough."""
    sides = []
    if rule in limits:
        sides += [(rule, "low")] if limits[rule].low is not None else []
        sides += [(rule, "high")] if limits[rule].high is not None else []
    return sides + ([(rule, "dropped")] if rule in droppable else [])


class _Tried:
    """A program without an answer, asked again and again with some of its rules giving way.

    How far limits move is counted in steps, one number for each limit of a concession.
    """

    def __init__(
        self, program: Program, limits: Mapping[str, Relaxable], rows_with: RowsWith
    ) -> None:
        self._program = program
        self._limits = limits
        self._rows_with = rows_with
        self._possible = Session(replace(program, costs=(0.0,) * len(program.costs)))
        self._cheapest = Session(program)

    def ways(self, concession: _Concession) -> Iterator[WayOut]:
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
            added=None,
            give=sum(abs(m.new - m.old) / _size(self._limits[m.rule], m.side) for m in moved),
            cost=outcome.cost,
            priced=True,
            x=outcome.x,
        )

    def _together(self, concession: _Concession) -> list[int] | None:
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

    def _least_give(self, concession: _Concession) -> float:
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

    def _taken_back(self, concession: _Concession, steps: list[int]) -> list[int]:
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

    def _moved(self, concession: _Concession, steps: list[int]) -> Iterator[Moved]:
        at = self._at(concession, steps)
        for k, (rule, side) in enumerate(concession):
            if side != "dropped":
                limit = self._limits[rule]
                inner = _limit_at(limit, side, steps[k] - 1)
                needed = self._needed(concession, at, k, inner)
                yield Moved(rule, side, _old(limit, side), at[k], needed)

    def _needed(self, concession: _Concession, at: list[float], k: int, inner: float) -> float:
        """Between a limit that does not do and the next one that does."""
        outer, near = at[k], NEAR * self._limits[concession[k][0]].step
        while abs(outer - inner) > near:
            middle = (outer + inner) / 2.0
            if self._possible_at(concession, [*at[:k], middle, *at[k + 1 :]]):
                outer = middle
            else:
                inner = middle
        return outer

    def _holds(self, concession: _Concession, steps: list[int]) -> bool:
        return self._possible_at(concession, self._at(concession, steps))

    def _at(self, concession: _Concession, steps: list[int]) -> list[float]:
        """The limits so many steps out; 0 stands for a rule dropped."""
        return [
            0.0 if side == "dropped" else _limit_at(self._limits[rule], side, count)
            for (rule, side), count in zip(concession, steps, strict=True)
        ]

    def _possible_at(self, concession: _Concession, at: list[float]) -> bool:
        outcome = self._possible.solve_with(self._changed(concession, at))
        return isinstance(outcome, Optimal)

    def _changed(self, concession: _Concession, at: list[float]) -> list[tuple[int, Row]]:
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


def _with_all(program: Program, candidates: Sequence[Candidate]) -> Program:
    """Every candidate as a column that a row of its own holds at 0."""
    wide = program
    for candidate in candidates:
        wide = _with(wide, candidate)
    gates = tuple(_gate(program, place, 0.0) for place in range(len(candidates)))
    return replace(wide, costs=(0.0,) * len(wide.costs), rows=wide.rows + gates)


def _gate(program: Program, place: int, most: float) -> Row:
    return Row("", "gate", (len(program.costs) + place,), (1.0,), -inf, most)


def _with(program: Program, candidate: Candidate) -> Program:
    """The program with the candidate as its last column, at no cost where it has no price."""
    column = len(program.costs)
    rows = [_seen(row, column, candidate.values.get(i, 0.0)) for i, row in enumerate(program.rows)]
    return Program(
        costs=(*program.costs, candidate.cost or 0.0),
        lower=(*program.lower, 0.0),
        upper=(*program.upper, candidate.most),
        whole=(*program.whole, False),
        rows=tuple(rows),
    )


def _seen(row: Row, column: int, value: float) -> Row:
    if value == 0.0:
        return row
    return replace(row, columns=(*row.columns, column), values=(*row.values, value))


def _added(program: Program, candidate: Candidate) -> Iterator[WayOut]:
    priced = candidate.cost is not None
    wide = _with(program, candidate)
    held = wide if priced else _as_little(wide)
    outcome = Session(held).solve() if held is not None else None
    if isinstance(outcome, Optimal) and keeps(wide, outcome.x):
        yield WayOut((), (), candidate.name, 0.0, outcome.cost, priced, outcome.x)


def _as_little(wide: Program) -> Program | None:
    """The program with its last column held at the least share that will do."""
    only_last = replace(wide, costs=(*(0.0,) * (len(wide.costs) - 1), 1.0))
    outcome = Session(only_last).solve()
    if not isinstance(outcome, Optimal):
        return None
    return replace(wide, upper=(*wide.upper[:-1], outcome.x[-1] + SLIVER))


def _by_price(way: WayOut) -> tuple[bool, float]:
    return not way.priced, way.cost if way.priced else way.x[-1]
