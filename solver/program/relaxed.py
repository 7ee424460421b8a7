"""By how little the rules of a program must give way before a point keeps them.

Every row of a rule that may be absent is given slack at a price, so the question always has an
answer, and one answer serves twice. No slack: the point is a witness that the rules hold together.
Some slack: the prices of the rows are a certificate that they do not, and name the rules that
quarrel. Rows are divided by their largest coefficient first, so that slack is measured on the
columns' own scale whatever the unit of the rule.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, inf, isfinite

from ...constraints.model.row import Row
from .deadline import NEVER, Deadline
from .outcome import Infeasible, Optimal, Outcome, Program
from .session import Session, solve

TOLERANCE = 1e-7
"""Total slack up to which rules hold together, each row divided by its largest coefficient."""

NEAR = 1e-6
"""How far a point may miss a row so divided, a bound or a whole number and still keep it."""

_PRICE = 1e-9
_NODES = 100

_Bounds = dict[int, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Reply:
    """Whether some rules can hold together.

    Args:
        violation: least total slack, each row divided by its largest coefficient; above
            ``TOLERANCE`` the rules clash, ``inf`` when what is always kept is impossible alone.
        x: a point that keeps them, empty when they clash.
        core: when they clash, some of them that already do, as bits of ``Elastic.rules``.
    """

    violation: float
    x: tuple[float, ...]
    core: int

    @property
    def holds(self) -> bool:
        """Whether there is a point that keeps all the rules asked about."""
        return self.violation <= TOLERANCE


class Elastic:
    """A program held in the solver, to be asked which of its rules can hold together.

    Args:
        program: rows grouped by ``Row.rule``; its costs play no part.
        keep: rules always present and never given slack.
        deadline: past it the solver cannot tell.

    Sets of rules are bits: bit k stands for ``rules[k]``.
    """

    def __init__(self, program: Program, keep: frozenset[str], deadline: Deadline = NEVER) -> None:
        self.program = program
        self.rules = tuple(dict.fromkeys(r.rule for r in program.rows if r.rule not in keep))
        self.everything = (1 << len(self.rules)) - 1
        bits = {rule: 1 << k for k, rule in enumerate(self.rules)}
        self._bit = tuple(bits.get(row.rule, 0) for row in program.rows)
        self._whole = tuple(j for j, whole in enumerate(program.whole) if whole)
        self._slack, self._slack_bit = _with_slack(program, self._bit)
        self._deadline = deadline
        self._session = Session(self._slack.half_made, deadline)

    def named(self, rules: int) -> tuple[str, ...]:
        """The rules of a set, in the order of the program."""
        return tuple(rule for k, rule in enumerate(self.rules) if rules >> k & 1)

    def bits(self, rules: Iterable[str]) -> int:
        """The set of these rules."""
        return sum(1 << self.rules.index(rule) for rule in set(rules))

    def kept(self, x: tuple[float, ...]) -> int:
        """All rules that a point keeps."""
        broken = 0
        for bit, row in zip(self._bit, self.program.rows, strict=True):
            if excess(row, x) > TOLERANCE:
                broken |= bit
        return self.everything & ~broken

    def ask(self, present: int) -> Reply | None:
        """Whether the rules of a set can hold together; ``None`` if the solver cannot tell.

        Choices are settled by branching on the relaxed program, because each leaf then says which
        rules close it; a tree grown too wide is handed to the solver whole.
        """
        absent = self._absent(present)
        leaves: list[Reply] = []
        open_nodes: list[_Bounds] = [{}]
        for _ in range(_NODES):
            if not open_nodes:
                return _together(leaves)
            fixed = open_nodes.pop()
            leaf = self._reply(self._session.solve_with(absent, _listed(fixed)), self.everything)
            if leaf is None or (leaf.holds and self._split(leaf.x) is None):
                return leaf
            if leaf.holds:
                open_nodes += self._branches(fixed, leaf.x)
            else:
                leaves.append(leaf)
        return _together(leaves) if not open_nodes else self._handed_over(absent, present)

    def nearest(self, present: int) -> int | None:
        """All rules kept by some point that keeps those of a set and misses the others by little.

        ``None`` where no such point was found, which is no proof that there is none.
        """
        tight = [(j, 0.0, 0.0) for j, bit in self._slack_bit if bit & present]
        open_nodes: list[_Bounds] = [{}]
        for _ in range(_NODES):
            if not open_nodes:
                return None
            fixed = open_nodes.pop()
            outcome = self._session.solve_with((), [*tight, *_listed(fixed)])
            if not isinstance(outcome, Optimal):
                continue
            x = outcome.x[: len(self.program.costs)]
            if self._split(x) is None:
                return self.kept(x) | present
            open_nodes += self._branches(fixed, x)
        return None

    def _absent(self, present: int) -> list[tuple[int, Row]]:
        return [
            (i, loosened(self._slack.rows[i]))
            for i, bit in enumerate(self._bit)
            if bit and not bit & present
        ]

    def _handed_over(self, absent: list[tuple[int, Row]], present: int) -> Reply | None:
        rows = list(self._slack.rows)
        for index, row in absent:
            rows[index] = row
        return self._reply(solve(replace(self._slack, rows=tuple(rows)), self._deadline), present)

    def _reply(self, outcome: Outcome, present: int) -> Reply | None:
        if isinstance(outcome, Infeasible):
            return Reply(inf, (), 0)
        if not isinstance(outcome, Optimal):
            return None
        if outcome.cost <= TOLERANCE:
            return Reply(outcome.cost, outcome.x[: len(self.program.costs)], 0)
        if not outcome.row_prices:
            return Reply(outcome.cost, (), present)
        return Reply(outcome.cost, (), self._priced(outcome.row_prices))

    def _priced(self, prices: tuple[float, ...]) -> int:
        core = 0
        for bit, price in zip(self._bit, prices, strict=True):
            if abs(price) > _PRICE:
                core |= bit
        return core

    def _split(self, x: tuple[float, ...]) -> int | None:
        """The column to branch on: the one farthest from a whole number."""
        away = [(abs(x[j] - round(x[j])), -j) for j in self._whole]
        distance, column = max(away, default=(0.0, 0))
        return -column if distance > NEAR else None

    def _branches(self, fixed: _Bounds, x: tuple[float, ...]) -> list[_Bounds]:
        """Both sides of the split, the upper one last so that it is looked at first."""
        column = self._split(x)
        if column is None:
            return []
        low, high = fixed.get(column, (self.program.lower[column], self.program.upper[column]))
        return [
            {**fixed, column: (low, float(floor(x[column])))},
            {**fixed, column: (float(ceil(x[column])), high)},
        ]


def _listed(fixed: _Bounds) -> list[tuple[int, float, float]]:
    return [(column, low, high) for column, (low, high) in fixed.items()]


def excess(row: Row, x: tuple[float, ...]) -> float:
    """By how much a point breaks a row, divided by the row's largest coefficient; 0 if kept."""
    value = sum(v * x[j] for j, v in zip(row.columns, row.values, strict=True))
    return max(row.low - value, value - row.high, 0.0) / _scale(row)


def keeps(program: Program, x: Sequence[float]) -> bool:
    """Whether a point keeps every row, bound and whole number of a program, within ``NEAR``."""
    point = tuple(x)
    within = all(
        low - NEAR <= value <= high + NEAR
        for low, value, high in zip(program.lower, point, program.upper, strict=True)
    )
    whole = all(
        abs(value - round(value)) <= NEAR
        for value, is_whole in zip(point, program.whole, strict=True)
        if is_whole
    )
    return within and whole and all(excess(row, point) <= NEAR for row in program.rows)


def loosened(row: Row) -> Row:
    """The row with both sides open."""
    return replace(row, low=-inf, high=inf)


def _scale(row: Row) -> float:
    return max(map(abs, row.values), default=1.0)


def _together(leaves: list[Reply]) -> Reply:
    """What closed every leaf closes the tree; the nearest miss is the violation."""
    core = 0
    for leaf in leaves:
        core |= leaf.core
    return Reply(min(leaf.violation for leaf in leaves), (), core)


def _with_slack(
    program: Program, bits: tuple[int, ...]
) -> tuple[Program, tuple[tuple[int, int], ...]]:
    """Rows scaled and given slack at price 1; with each slack column the bit of its rule."""
    rows: list[Row] = []
    slack: list[tuple[int, int]] = []
    first = len(program.costs)
    for row, bit in zip(program.rows, bits, strict=True):
        signs = [s for s, side in ((1.0, row.low), (-1.0, row.high)) if bit and isfinite(side)]
        rows.append(_scaled(row, first + len(slack), signs))
        slack += [(first + len(slack) + k, bit) for k in range(len(signs))]
    more = len(slack)
    wide = Program(
        costs=(0.0,) * first + (1.0,) * more,
        lower=program.lower + (0.0,) * more,
        upper=program.upper + (inf,) * more,
        whole=program.whole + (False,) * more,
        rows=tuple(rows),
    )
    return wide, tuple(slack)


def _scaled(row: Row, width: int, signs: list[float]) -> Row:
    scale = _scale(row)
    return replace(
        row,
        columns=row.columns + tuple(range(width, width + len(signs))),
        values=tuple(value / scale for value in row.values) + tuple(signs),
        low=row.low / scale,
        high=row.high / scale,
    )
