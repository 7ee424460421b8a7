"""Other compositions that cost little more and differ as much as they can.

How far two compositions are apart is the mass that would have to be taken out of a kilogram of one
and replaced to get the other. The first alternative is the farthest from the cheapest composition;
each further one is as far as it gets from the nearest of those already there, so that no two are
alike.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.row import Row, Rows
from ...constraints.values.told import Told
from ..cheapest.cheapest import Finding, program_of
from ..cheapest.chosen import made_for
from ..cheapest.settling import settled_anywhere
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Optimal, Outcome, Program, Stopped
from ..program.session import Session
from ..strength.composing import composed, kept
from ..strength.parts import Sought

ALIKE = 1e-4
"""Compositions no farther apart than this are the same [kg/kg]."""

A_QUESTION_S = 5.0
"""For so long one alternative is looked for [s]."""

PREMIUM = "the premium"
APART = "apart"


@dataclass(frozen=True, slots=True)
class Alternative:
    """A composition that keeps every rule within the premium.

    Args:
        composition: shares [kg/kg].
        cost: of its materials [money/kg].
        premium: how much more that is than the cheapest [money/kg].
        apart: how much of the cheapest it replaces [kg/kg].
    """

    composition: Composition
    cost: float
    premium: float
    apart: float


@dataclass(frozen=True, slots=True, repr=False)
class Alternatives(Told):
    """What else could be made for little more.

    Args:
        within: the premium allowed, relative to the cheapest [-].
        found: the most different first.
        stopped: whether time ran out before all that were asked for were found.
    """

    within: float
    found: tuple[Alternative, ...]
    stopped: bool


def alternatives(
    bench: Bench, finding: Finding, count: int, within: float, deadline: Deadline = NEVER
) -> Alternatives:
    """Find compositions that cost at most ``within`` more than the cheapest and differ the most.

    Each is checked rule by rule. That none is farther rests on the float solver's word.

    Args:
        bench: what was read.
        finding: its cheapest composition.
        count: how many to look for.
        within: the premium allowed, relative to the cheapest cost [-].
        deadline: when to give up.
    """
    known = [finding.composition]
    found: list[Alternative] = []
    for _ in range(count):
        soon = deadline if deadline.is_never else deadline.within(A_QUESTION_S)
        outcome = _farthest(bench, finding, known, within, soon)
        if not isinstance(outcome, Optimal):
            return Alternatives(within, tuple(found), isinstance(outcome, Stopped))
        other = composed(bench, outcome)
        if min(apart(one, other) for one in known) <= ALIKE:
            break
        if not kept(bench, other):
            break
        known.append(other)
        found.append(_alternative(bench, finding, other))
    return Alternatives(within, tuple(found), stopped=False)


def apart(one: Composition, other: Composition) -> float:
    """How much of one composition another replaces [kg/kg].

    >>> apart(Composition("", {"a": 0.5, "b": 0.5}), Composition("", {"a": 0.4, "c": 0.6}))
    0.6
    """
    return sum(max(share - other.parts.get(name, 0.0), 0.0) for name, share in one.parts.items())


def _alternative(bench: Bench, finding: Finding, other: Composition) -> Alternative:
    cost = bench.cost_of(other)
    return Alternative(other, cost, cost - finding.cost, apart(finding.composition, other))


def _farthest(
    bench: Bench,
    finding: Finding,
    known: Sequence[Composition],
    within: float,
    deadline: Deadline,
) -> Outcome:
    """The composition within the premium whose nearest known one is farthest."""
    prices = bench.prices
    cap = finding.cost * (1.0 + within)

    def ask(rows: Rows) -> Outcome:
        program = _apart_from(known, rows, _capped(program_of(rows, prices), cap))
        outcome = Session(program, deadline).solve()
        again = made_for(bench, program, outcome) if isinstance(outcome, Optimal) else None
        return outcome if again is None else again

    def composition_of(outcome: Outcome) -> Composition | None:
        return composed(bench, outcome) if isinstance(outcome, Optimal) else None

    start = finding.rows.ionic_strength
    found = settled_anywhere(
        bench, ask, composition_of, start, lambda p: _capped(p, cap), deadline=deadline
    )
    if isinstance(found, Sought):
        return Stopped("the ionic strength did not come to rest")
    return found[0]


def _capped(program: Program, cap: float) -> Program:
    """The program with its cost as a row."""
    priced = [(column, cost) for column, cost in enumerate(program.costs) if cost]
    columns, values = tuple(c for c, _ in priced), tuple(v for _, v in priced)
    row = Row(PREMIUM, "cost", columns, values, -inf, cap)
    return replace(program, rows=(*program.rows, row))


def _apart_from(known: Sequence[Composition], rows: Rows, program: Program) -> Program:
    """Maximise the least of the distances to some compositions.

    For each material of each of them two columns are added: what is taken out of it, and whether
    less of it is used at all; the last column of all is the least distance.
    """
    first, least = len(program.costs), len(program.costs) + 2 * sum(len(k.parts) for k in known)
    added: list[Row] = []
    upper: list[float] = []
    for one in known:
        taken = range(first + len(upper), first + len(upper) + 2 * len(one.parts), 2)
        added += _taken_out(one, rows, taken)
        columns, values = (*taken, least), (*[1.0] * len(taken), -1.0)
        added.append(Row(APART, "least", columns, values, 0.0, inf))
        upper += [end for share in one.parts.values() for end in (share, 1.0)]
    return Program(
        costs=(*[0.0] * least, -1.0),
        lower=(*program.lower, *[0.0] * (len(upper) + 1)),
        upper=(*program.upper, *upper, 1.0),
        whole=(*program.whole, *[False, True] * (len(upper) // 2), False),
        rows=(*program.rows, *added),
    )


def _taken_out(one: Composition, rows: Rows, taken: Sequence[int]) -> Iterator[Row]:
    """What is taken out is no more than the share falls, and nothing where it does not fall."""
    for column, (name, share) in zip(taken, one.parts.items(), strict=True):
        place = rows.materials.index(name)
        falls = column + 1
        most = 1.0 - share
        values = (1.0, 1.0, most)
        yield Row(APART, name, (place, column, falls), values, -inf, share + most)
        yield Row(APART, name, (column, falls), (1.0, -share), -inf, 0.0)
