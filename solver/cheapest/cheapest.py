"""The cheapest composition that keeps every rule, and what each rule that binds costs.

Prices are found by asking again with the limit moved one step, tighter and looser, with the same
choice of materials. A price read off a single solution can be wrong at a corner where more rules
meet than needed, which is the usual case in blending; the cost of a moved limit cannot.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import Frame, frame_of
from ...constraints.model.mix import TRACE
from ...constraints.model.row import Row, Rows
from ...constraints.model.rule import Limited
from ...constraints.model.verdict import Verdict
from ...constraints.rules.holding import rows_held
from ...constraints.rules.judging import judge
from ...constraints.values.expecting import BENCH, expects
from ...constraints.values.problem import CheckFailedError
from ...constraints.values.told import Told
from ..program.outcome import Infeasible, Optimal, Outcome, Program, Stopped, Unbounded
from ..program.session import Session
from ..strength.search import Part, Sought, keeps_acidity, sought

WORTH_SAYING = 1e-7
"""A difference in cost below this is none [money/kg]."""

SLIVER = 1e-4
"""The share at which a material left out is tried, to find its price of entry [kg/kg]."""


def as_it_is(program: Program) -> Program:
    """A program without any change."""
    return program


@dataclass(frozen=True, slots=True)
class Price:
    """What one step of a limit costs, with the same choice of materials.

    Args:
        rule: id of the rule.
        side: which limit, "low" or "high".
        step: how far it was moved, in the canonical unit of the rule.
        tighter: cost added by one step tighter [money/kg]; ``None`` where nothing keeps the rules
            then, 0 for a material that is not to be used at all.
        looser: cost saved by one step looser [money/kg]; ``None`` where the limit cannot move so
            far.
    """

    rule: str
    side: str
    step: float
    tighter: float | None
    looser: float | None


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A material on the shelf that the cheapest composition does without.

    Args:
        material: its name.
        price: what it costs now [money/kg].
        enters_below: the price below which it would come in, all else alike [money/kg]; ``None``
            where a choice or a rule keeps it out at any price.
    """

    material: str
    price: float
    enters_below: float | None


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
def cheapest(bench: Bench, time_limit_s: float | None = None) -> Finding | Refusal:
    """Propose the minimum-cost composition that keeps every rule of a bench.

    Args:
        bench: what was read.
        time_limit_s: give up after so long [s].

    Raises:
        CheckFailedError: when the answer breaks a rule by the independent check.
    """
    answer = least_anywhere(bench, time_limit_s=time_limit_s)
    if not isinstance(answer.outcome, Optimal):
        return Refusal(answer.outcome, answer.program, answer.rows, answer.parts)
    return found(bench, answer.rows, answer.program, answer.outcome, answer.parts)


def least_anywhere(
    bench: Bench,
    *,
    also: Callable[[Program], Program] = as_it_is,
    start: float = 0.0,
    time_limit_s: float | None = None,
) -> Sought:
    """The least cost over a bench's rows, whatever the ionic strength of the answer.

    Args:
        bench: what was read.
        also: changes the program before it is solved.
        start: an ionic strength to begin with [mol/kg water].
        time_limit_s: give up after so long [s].
    """
    return sought(bench, written_for(bench, also), start=start, time_limit_s=time_limit_s)


def written_for(bench: Bench, also: Callable[[Program], Program]) -> Callable[[Rows], Program]:
    """How rows of a bench become the program that is solved."""
    prices = bench.prices
    return lambda rows: also(program_of(rows, prices))


def least(
    bench: Bench,
    *,
    also: Callable[[Program], Program] = as_it_is,
    start: float = 0.0,
    time_limit_s: float | None = None,
) -> tuple[Outcome, Rows, Program]:
    """What `least_anywhere` comes to: the outcome, and the rows and the program it belongs to."""
    answer = least_anywhere(bench, also=also, start=start, time_limit_s=time_limit_s)
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
    names = (item.material.name for item in bench.shelf)
    parts = {name: share for name, share in zip(names, optimal.x, strict=False) if share > TRACE}
    return Composition(bench.brief.name, parts)


def checked(bench: Bench, composition: Composition) -> tuple[Verdict, ...]:
    """Every rule's verdict on an answer, which must keep them all.

    Raises:
        CheckFailedError: when it does not.
    """
    verdicts = judge(bench, composition)
    broken = [verdict.rule.id for verdict in verdicts if not verdict.kept]
    total = sum(composition.parts.values())
    if broken or abs(total - 1.0) > TRACE * max(1, len(composition.parts)) * 10:
        message = f"an answer adding to {total!r} breaks: {', '.join(broken) or 'nothing else'}"
        raise CheckFailedError(message)
    return verdicts


def chosen(program: Program, x: Sequence[float]) -> Program:
    """A program with its whole-number columns held at their values in ``x``."""
    held = tuple(
        (float(round(value)),) * 2 if whole else (low, high)
        for value, whole, low, high in zip(
            x, program.whole, program.lower, program.upper, strict=True
        )
    )
    return replace(
        program,
        lower=tuple(low for low, _ in held),
        upper=tuple(high for _, high in held),
        whole=(False,) * len(held),
    )


def made_for(bench: Bench, program: Program, optimal: Optimal) -> Optimal | None:
    """A solution with its choices as exact whole numbers; ``None`` where that is none.

    Where costs tie, asking again can end at another point, whose pH was never counted: the point
    that was settled then stands.
    """
    again = Session(chosen(program, optimal.x)).solve()
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
    parts: tuple[Part, ...] = (),
) -> Finding:
    """What a solution says to the maker, checked rule by rule.

    Raises:
        CheckFailedError: when it breaks a rule by the independent check.
    """
    fixed = chosen(program, optimal.x)
    again = made_for(bench, program, optimal)
    if again is None:
        raise CheckFailedError("with its choices made, the program has no answer")
    composition = composed(bench, again)
    verdicts = checked(bench, composition)
    asked = _Asked(frame_of(bench), rows, Session(fixed), again)
    return Finding(
        composition=composition,
        cost=again.cost,
        verdicts=verdicts,
        prices=tuple(sorted(asked.prices(verdicts), key=_weight, reverse=True)),
        left_out=tuple(asked.left_out()),
        conditional=any(program.whole),
        program=program,
        rows=rows,
        optimal=optimal,
        fixed=(fixed, again),
        parts=parts,
    )


def binding(verdict: Verdict) -> tuple[tuple[Limited, str], ...]:
    """The limits of a rule that leave no room, as the rule and its side."""
    rule = verdict.rule
    if not isinstance(rule, Limited):
        return ()
    rooms = ((side, verdict.room_on(side)) for side in rule.limits())
    return tuple((rule, side) for side, room in rooms if room is not None and room <= rule.touching)


@dataclass(frozen=True, slots=True)
class _Asked:
    """A solved program kept at hand, to ask it what a change would cost."""

    frame: Frame
    rows: Rows
    session: Session
    optimal: Optimal

    def prices(self, verdicts: Sequence[Verdict]) -> Iterator[Price]:
        for verdict in verdicts:
            for rule, side in binding(verdict):
                price = self._price(rule, side)
                if _matters(price):
                    yield price

    def _price(self, rule: Limited, side: str) -> Price:
        step = rule.step(side)
        inward = step if side == "low" else -step
        # What stands at the end of its reach cannot be tightened: that costs nothing.
        ends = rule.standing(side) == rule.reach()[0] and side == "high"
        tighter = self.optimal.cost if ends else self._moved(rule, side, inward)
        looser = self._moved(rule, side, -inward)
        return Price(
            rule=rule.id,
            side=side,
            step=step,
            tighter=None if tighter is None else _clean(tighter - self.optimal.cost),
            looser=None if looser is None else _clean(self.optimal.cost - looser),
        )

    def _moved(self, rule: Limited, side: str, by: float) -> float | None:
        limit = rule.standing(side) + by
        if limit < rule.reach()[0]:
            return None
        new = rows_held(rule.moved(side, limit), self.frame, self.rows.ionic_strength)
        changed = [(index, row) for (index, _), row in zip(self.rows.of(rule.id), new, strict=True)]
        return self._cost_with(changed)

    def _cost_with(self, changed: Sequence[tuple[int, Row]]) -> float | None:
        outcome = self.session.solve_with(changed)
        return outcome.cost if isinstance(outcome, Optimal) else None

    def left_out(self) -> Iterator[LeftOut]:
        for column, material in enumerate(self.frame.materials):
            if self.optimal.x[column] <= TRACE:
                price = self.frame.prices[column]
                yield LeftOut(material.name, price, self._enters_below(column, price))

    def _enters_below(self, column: int, price: float) -> float | None:
        outcome = self.session.solve_with(bounds=[(column, SLIVER, inf)])
        if not isinstance(outcome, Optimal):
            return None
        return price - _clean(outcome.cost - self.optimal.cost) / SLIVER


def _matters(price: Price) -> bool:
    return price.tighter is None or max(price.tighter, price.looser or 0.0) > WORTH_SAYING


def _weight(price: Price) -> float:
    return inf if price.tighter is None else max(price.tighter, price.looser or 0.0)


def _clean(difference: float) -> float:
    return 0.0 if abs(difference) < WORTH_SAYING else difference
