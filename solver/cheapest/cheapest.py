"""The cheapest composition that keeps every rule, and what each rule that binds costs."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import permutations
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of
from ...constraints.model.mix import TRACE
from ...constraints.model.row import Rows
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge
from ...constraints.values.expecting import BENCH, expects
from ...constraints.values.problem import CheckFailedError
from ...constraints.values.told import Told
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Infeasible, Optimal, Outcome, Program, Stopped, Unbounded
from ..program.session import Session
from ..sensitivity.ground import Ground
from ..strength.search import Part, Sought, keeps_acidity, sought
from .stepping import Asked, LeftOut, Price, weight


def as_it_is(program: Program) -> Program:
    """A program without any change."""
    return program


class Explanation(StrEnum):
    """What a finding is explained by, each of which takes time of its own."""

    PRICES = "what a step of each limit costs"
    ENTRIES = "the price at which what stayed out would come in"
    SLOPES = "over which range each price holds"
    PROOF = "the proof"
    CHOICES = "the choices made the other way"
    OTHERS = "other compositions for little more"


@dataclass(frozen=True, slots=True, repr=False)
class Finding(Told):
    """A composition and what it rests on.

    Args:
        composition: shares of materials [kg/kg].
        cost: materials in a kilogram of mix [money/kg].
        verdicts: every rule, in the order of the brief.
        prices: the rules that bind, dearest first.
        left_out: materials that stayed out, in shelf order.
        conditional: whether a yes/no choice stands behind the prices.
        program: what the solver was given.
        rows: what its columns and rows mean.
        optimal: what the solver found.
        fixed: the same program with every choice made, and its solution.
        parts: cells of pH and ionic strength that the search went through; empty where no rule
            speaks of pH.
        ground: the exact optimum under the choices made; ``None`` where it was not reached.
        undone: what there was no time for.
        spent: the time it took to find, explanations apart [s].
    """

    composition: Composition
    cost: float
    verdicts: tuple[Verdict, ...]
    prices: tuple[Price, ...]
    left_out: tuple[LeftOut, ...]
    conditional: bool
    program: Program
    rows: Rows
    optimal: Optimal
    fixed: tuple[Program, Optimal]
    parts: tuple[Part, ...] = ()
    ground: Ground | None = field(default=None, repr=False, compare=False)
    undone: frozenset[Explanation] = frozenset()
    spent: float = field(default=0.0, compare=False)

    @property
    def entries_undone(self) -> bool:
        """Whether no price of entry is known, for lack of time."""
        return Explanation.ENTRIES in self.undone


@dataclass(frozen=True, slots=True, repr=False)
class Refusal(Told):
    """Why there is no composition to show.

    Args:
        outcome: what the solver said.
        program: what it was given.
        rows: what its columns and rows mean.
        parts: cells of pH and ionic strength that the search went through; empty where no rule
            speaks of pH.
        also: how the program differs from the rows and prices of the bench.
    """

    outcome: Infeasible | Unbounded | Stopped
    program: Program
    rows: Rows
    parts: tuple[Part, ...] = ()
    also: Callable[[Program], Program] = as_it_is


@expects(Bench, hint=BENCH)
def cheapest(bench: Bench, deadline: Deadline = NEVER, start: float = 0.0) -> Finding | Refusal:
    """Propose the minimum-cost composition that keeps every rule of a bench.

    Args:
        bench: what was read.
        deadline: when to give up.
        start: an ionic strength to begin with [mol/kg water].

    Raises:
        CheckFailedError: when the answer breaks a rule by the independent check.
    """
    started = deadline.clock()
    answer = least_anywhere(bench, start=start, deadline=deadline)
    return said_of(bench, answer, deadline, deadline.clock() - started)


def said_of(bench: Bench, answer: Sought, deadline: Deadline, spent: float) -> Finding | Refusal:
    """What a search came to, as it is said to the maker.

    Args:
        bench: what was read.
        answer: of the search over its rows.
        deadline: when to give up.
        spent: the time that the search took [s].

    Raises:
        CheckFailedError: when the answer breaks a rule by the independent check.
    """
    if not isinstance(answer.outcome, Optimal):
        return Refusal(answer.outcome, answer.program, answer.rows, answer.parts)
    finding = found(
        bench,
        answer.rows,
        answer.program,
        answer.outcome,
        parts=answer.parts,
        deadline=deadline.for_explaining(spent),
    )
    return replace(finding, spent=spent)


def least_anywhere(
    bench: Bench,
    *,
    also: Callable[[Program], Program] = as_it_is,
    start: float = 0.0,
    deadline: Deadline = NEVER,
) -> Sought:
    """The least cost over a bench's rows, whatever the ionic strength of the answer.

    Args:
        bench: what was read.
        also: changes the program before it is solved.
        start: an ionic strength to begin with [mol/kg water].
        deadline: when to give up.
    """
    return sought(bench, written_for(bench, also), start=start, deadline=deadline)


def written_for(bench: Bench, also: Callable[[Program], Program]) -> Callable[[Rows], Program]:
    """How rows of a bench become the program that is solved."""
    prices = bench.prices
    return lambda rows: also(program_of(rows, prices))


def least(
    bench: Bench,
    *,
    also: Callable[[Program], Program] = as_it_is,
    start: float = 0.0,
    deadline: Deadline = NEVER,
) -> tuple[Outcome, Rows, Program]:
    """What `least_anywhere` comes to: the outcome, and the rows and the program it belongs to."""
    answer = least_anywhere(bench, also=also, start=start, deadline=deadline)
    return answer.outcome, answer.rows, answer.program


def program_of(rows: Rows, costs: Sequence[float]) -> Program:
    """Rows and a cost for each material as a program: shares at least 0, choices 0 or 1."""
    shares, choices = len(rows.materials), len(rows.choices)
    return Program(
        costs=(*costs, *[0.0] * choices),
        lower=(0.0,) * (shares + choices),
        upper=(inf,) * shares + (1.0,) * choices,
        whole=(False,) * shares + (True,) * choices,
        rows=rows.rows,
    )


def composed(bench: Bench, optimal: Optimal) -> Composition:
    """The shares in a solution, without those too small to weigh on any balance."""
    shares = enumerate(optimal.x[: len(bench.shelf)])
    there = [(column, share) for column, share in shares if share > TRACE]
    parts = {bench.shelf[column].material.name: share for column, share in there}
    return Composition(bench.brief.name, parts)


def checked(bench: Bench, composition: Composition) -> tuple[Verdict, ...]:
    """Every rule's verdict on an answer, which must keep them all.

    Raises:
        CheckFailedError: when it does not.
    """
    verdicts = judge(bench, composition)
    broken = [verdict.rule.id for verdict in verdicts if not verdict.kept]
    if broken or not adds_up(composition):
        total = sum(composition.parts.values())
        message = f"an answer adding to {total!r} breaks: {', '.join(broken) or 'nothing else'}"
        raise CheckFailedError(message)
    return verdicts


def kept(bench: Bench, composition: Composition) -> bool:
    """Whether a composition, tried beside an answer, keeps every rule; if not, it is not shown."""
    return adds_up(composition) and all(one.kept for one in judge(bench, composition))


def adds_up(composition: Composition) -> bool:
    """Whether shares add to one, each allowed a trace."""
    total = sum(composition.parts.values())
    return abs(total - 1.0) <= TRACE * max(1, len(composition.parts)) * 10


def chosen(program: Program, x: Sequence[float]) -> Program:
    """A program with its whole-number columns held at their values in ``x``.

    What a choice that is not made leaves out is held at 0 itself: a solver keeps rows to a hair
    only, and a hair of a material counts as using it.
    """
    ends = list(zip(program.lower, program.upper, strict=True))
    for column, whole in enumerate(program.whole):
        if whole:
            ends[column] = (float(round(x[column])),) * 2
    for choice, share in gated(program):
        if ends[choice] == (0.0, 0.0) and ends[share][0] == 0.0:
            ends[share] = (0.0, 0.0)
    return replace(
        program,
        lower=tuple(low for low, _ in ends),
        upper=tuple(high for _, high in ends),
        whole=(False,) * len(ends),
    )


def gated(program: Program) -> Iterator[tuple[int, int]]:
    """Each choice with a column that a row leaves nothing but 0 where it is not made."""
    for row in program.rows:
        if len(row.columns) != 2 or row.high != 0.0:
            continue
        for (share, value), (choice, _) in permutations(zip(row.columns, row.values, strict=True)):
            if program.whole[choice] and value > 0.0 and not program.whole[share]:
                yield choice, share


def made_for(
    bench: Bench, program: Program, optimal: Optimal, deadline: Deadline = NEVER
) -> Optimal | None:
    """A solution with its choices as exact whole numbers; ``None`` where that is none."""
    again = Session(chosen(program, optimal.x), deadline).solve()
    return _settled(bench, again, optimal)


def made_in(bench: Bench, session: Session, program: Program, optimal: Optimal) -> Optimal | None:
    """The same in a session that holds the program, which is quicker than to begin another."""
    held = chosen(program, optimal.x)
    ends = zip(program.lower, program.upper, held.lower, held.upper, strict=True)
    bounds = [
        (column, low, high)
        for column, (was, to, low, high) in enumerate(ends)
        if (was, to) != (low, high)
    ]
    return _settled(bench, session.solve_with(bounds=bounds), optimal)


def _settled(bench: Bench, again: Outcome, optimal: Optimal) -> Optimal | None:
    """What asking again with the choices made came to.

    Where costs tie, asking again can end at another point, whose pH was never counted: the point
    that was settled then stands.
    """
    if not isinstance(again, Optimal):
        return None
    if keeps_acidity(bench, composed(bench, again)):
        return again
    return replace(optimal, cost=again.cost, basis=None)


def found(
    bench: Bench,
    rows: Rows,
    program: Program,
    optimal: Optimal,
    *,
    parts: tuple[Part, ...] = (),
    exact: Optimal | None = None,
    deadline: Deadline = NEVER,
) -> Finding:
    """What a solution says to the maker, checked rule by rule.

    Args:
        bench: what was read.
        rows: what it was found with.
        program: the same with costs.
        optimal: the solution.
        parts: cells of pH and ionic strength that the search went through.
        exact: the point to take, of an exact proof, in place of asking again.
        deadline: when to leave prices undone; the composition itself is always settled.

    Raises:
        CheckFailedError: when it breaks a rule by the independent check.
    """
    fixed = chosen(program, optimal.x)
    again = exact or _settled(bench, Session(fixed).solve(), optimal)
    if again is None:
        raise CheckFailedError("with its choices made, the program has no answer")
    composition = composed(bench, again)
    verdicts = checked(bench, composition)
    asked = Asked(frame_of(bench), rows, fixed, again, deadline)
    prices = tuple(asked.prices(verdicts))
    entries = None if deadline.passed() else asked.entries()
    late = {Explanation.PRICES: None in prices, Explanation.ENTRIES: entries is None}
    return Finding(
        composition=composition,
        cost=again.cost,
        verdicts=verdicts,
        prices=tuple(sorted(filter(None, prices), key=weight, reverse=True)),
        left_out=tuple(asked.left_out(entries or {})),
        conditional=any(program.whole),
        program=program,
        rows=rows,
        optimal=optimal,
        fixed=(fixed, again),
        parts=parts,
        ground=asked.ground,
        undone=frozenset(one for one, missing in late.items() if missing),
    )
