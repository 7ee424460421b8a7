"""Which rules ask for more changes than a formulator would make.

A program in which any rule may be given up whole, at the price of one, finds the fewest rules
without which few materials are enough; a second one, over the rules that are left, shows that they
are. Rules on which a yes/no choice rests, and what is not to be used, are not given up.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, isfinite

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of
from ...constraints.model.row import Row, Rows
from ...constraints.model.row import row as new_row
from ...constraints.model.rule import Rule
from ...constraints.rules.rows import rows_of
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Optimal, Program
from ..program.session import solve
from .distance import Stage
from .layout import Layout
from .manner import manner_of
from .nearness import Nearness


@dataclass(frozen=True, slots=True)
class Forced:
    """Why more materials change than few.

    Args:
        fewest: the fewest that any change touches that keeps every rule.
        going: materials that are not to be used any more: each is one that changes.
        without: the fewest with the rules named here left aside.
        rules: the smallest number of rules that, left aside, make ``without`` enough; none where
            what goes and what has to come in for it are that many already.
    """

    fewest: int
    going: tuple[str, ...]
    without: int
    rules: tuple[str, ...]


def forced(
    bench: Bench,
    formula: Composition,
    strength: float,
    wanted: Sequence[str] = (),
    deadline: Deadline = NEVER,
) -> Forced | None:
    """The rules that force more changes than few, ``None`` where few are enough or time ran out.

    Args:
        bench: what was read.
        formula: shares today [kg/kg].
        strength: ionic strength at which rules on pH are taken [mol/kg water].
        wanted: materials that are asked to come in.
        deadline: when to give up.
    """
    manner = manner_of(bench, formula, wanted)
    layout = Nearness(bench, formula, manner.within, (Stage.CLASS,), manner=manner)
    return forced_in(bench, layout, (rows_of(bench, strength),), manner.few, deadline)


def forced_in(
    bench: Bench, layout: Layout, rows: Sequence[Rows], few: int, deadline: Deadline = NEVER
) -> Forced | None:
    """The same of bars that take one change: a rule left aside is left aside in all of them.

    Args:
        bench: what was read.
        layout: the program of the change.
        rows: the rules' rows of each bar, the first of them the one that the columns speak of.
        few: so many changes are not too many.
        deadline: when to give up.
    """
    counted = _Counted(bench, layout, deadline)
    fewest = counted.fewest(rows)
    bare = counted.fewest(counted.standing(rows))
    if fewest is None or bare is None or fewest <= few:
        return None
    target = max(bare, few)
    out = counted.out(rows[0])
    going = tuple(name for name, share in layout.shares() if share and name in out)
    given_up = counted.given_up(rows, target) if target < fewest else ()
    if given_up is None:
        return None
    without = counted.fewest([_left(one, given_up) for one in rows])
    return None if without is None else Forced(fewest, going, without, given_up)


def _left(rows: Rows, given_up: Sequence[str]) -> Rows:
    return replace(rows, rows=tuple(row for row in rows.rows if row.rule not in given_up))


def _may_give_up(bench: Bench) -> frozenset[str]:
    rules = bench.brief.rules
    return frozenset(
        rule.id for rule in rules if rule.shuts_out() is None and not _needed(rule, rules)
    )


def _needed(rule: Rule, rules: Sequence[Rule]) -> bool:
    """Whether it alone ties to its share what another rule says is used or not."""
    others = [one for one in rules if one is not rule]
    tied = {name for one in others for name in one.ties()}
    asked = {name for one in others for name in one.uses()}
    return bool({*rule.ties()} & asked - tied)


class _Counted:
    """A formula's changes, counted."""

    def __init__(self, bench: Bench, layout: Layout, deadline: Deadline) -> None:
        self._bench, self._near, self._deadline = bench, layout, deadline

    def standing(self, rows: Sequence[Rows]) -> list[Rows]:
        """Rows of what is never given up: the whole, what is shut out, doses of choices."""
        may = _may_give_up(self._bench)
        return [replace(one, rows=tuple(r for r in one.rows if r.rule not in may)) for one in rows]

    def fewest(self, rows: Sequence[Rows]) -> int | None:
        """The fewest materials that a change touches."""
        program = self._near.laid(rows)
        outcome = solve(replace(program, costs=self._near.costs(Stage.COUNT)), self._deadline)
        return round(outcome.cost) if isinstance(outcome, Optimal) else None

    def out(self, rows: Rows) -> frozenset[str]:
        """Materials that a row shuts out by itself."""
        return frozenset(
            rows.materials[column]
            for row in rows.rows
            if row.high == 0.0 and all(value > 0 for value in row.values)
            for column in row.columns
            if column < len(rows.materials)
        )

    def given_up(self, rows: Sequence[Rows], target: int) -> tuple[str, ...] | None:
        """The fewest rules without which so many changes are enough."""
        giving = _may_give_up(self._bench)
        may = [rule for rule in self._bench.brief.rules if rule.id in giving]
        first = self._near.columns
        switch = {rule.id: first + place for place, rule in enumerate(may)}
        shares = len(frame_of(self._bench).materials)
        # rows that may go say nothing of how large a share can be: the bounds are those that stay
        program = self._near.laid(self.standing(rows))
        loose = [
            part
            for one in self._near.as_laid(rows)
            if one.rule in switch
            for part in switched(one, switch[one.rule], shares)
        ]
        count = self._near.costs(Stage.COUNT)
        columns = {column: cost for column, cost in enumerate(count) if cost}
        few = new_row("", "few", columns, -inf, float(target))
        outcome = solve(_widened(program, len(may), (*loose, few)), self._deadline)
        if not isinstance(outcome, Optimal):
            return None
        return tuple(rule.id for rule in may if outcome.x[switch[rule.id]] > 0.5)


def _widened(program: Program, by: int, rows: Sequence[Row]) -> Program:
    """A program with so many switches more, whose number is what is kept small."""
    return Program(
        costs=(*((0.0,) * len(program.costs)), *((1.0,) * by)),
        lower=(*program.lower, *((0.0,) * by)),
        upper=(*program.upper, *((1.0,) * by)),
        whole=(*program.whole, *((True,) * by)),
        rows=(*program.rows, *rows),
    )


def switched(row: Row, switch: int, shares: int) -> list[Row]:
    """A row for each side of one, which holds only while a switch is off.

    Shares are at least 0 and add to one, choices lie between 0 and 1: that bounds what a row can
    come to, and the bound is the constant that frees it.
    """
    entries: Mapping[int, float] = dict(zip(row.columns, row.values, strict=True))
    masses = [entries.get(column, 0.0) for column in range(shares)]
    choices = [value for column, value in entries.items() if column >= shares]
    most = max(masses) + sum(max(value, 0.0) for value in choices)
    least = min(masses) + sum(min(value, 0.0) for value in choices)
    sides = []
    if isfinite(row.low):
        free = max(row.low - least, 0.0)
        sides.append(new_row(row.rule, row.part, {**entries, switch: free}, row.low, inf))
    if isfinite(row.high):
        free = max(most - row.high, 0.0)
        sides.append(new_row(row.rule, row.part, {**entries, switch: -free}, -inf, row.high))
    return sides
