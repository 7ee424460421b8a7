"""The cheapest composition that keeps every rule, and what each rule that binds costs."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of
from ...constraints.model.row import Rows
from ...constraints.model.verdict import Verdict
from ...constraints.values.expecting import BENCH, expects
from ...constraints.values.problem import CheckFailedError
from ...constraints.values.told import Told
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Infeasible, Optimal, Outcome, Program, Stopped, Unbounded
from ..program.session import Session
from ..sensitivity.ground import Ground
from ..strength.composing import checked, composed
from ..strength.parts import Part, Sought
from ..strength.search import sought
from .chosen import chosen, settled
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
    again = exact or settled(bench, Session(fixed).solve(), optimal)
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
