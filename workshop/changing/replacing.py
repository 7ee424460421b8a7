"""The whole answer to "this is not to be had any more" and "I have a stronger grade"."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial
from typing import TypeVar

from ...constraints.bench.wish import Start
from ...constraints.market.practice import figure
from ...constraints.values.told import Told
from ...constraints.values.units import Dimension
from ...solver.cheapest.cheapest import Refusal, least
from ...solver.nearest.candidates import Search, look_for
from ...solver.nearest.distance import TOUCHED, Stage
from ...solver.nearest.forcing import Forced, forced
from ...solver.nearest.frontier import Corner, frontier
from ...solver.nearest.nearest import (
    BY_CONTENT,
    CLOSE,
    Near,
    cheapest_of,
    exchanged,
    kept_out,
    nearest,
    with_some,
)
from ...solver.program.deadline import NEVER, Deadline
from ...solver.program.fixed_point import ionic_strength
from ...solver.program.outcome import Infeasible
from .comparison import Comparison, compare

Said = TypeVar("Said")

LOOKING_S = 3.0
"""So long may it take to look for what would do where nothing does [s of the processor]."""

SETTLING = 0.5
"""So much of the time may the first question take; the rest is for what is said beside it."""


class Aside(StrEnum):
    """What is said of a changed formula that takes time of its own."""

    FEW = "how few materials would do"
    EXCHANGE = "what the exchange alone would be"
    NEAREST = "the nearest by what it contains"
    CHEAPEST = "the cheapest that keeps every rule"
    FORCED = "which rules force so many changes"
    UNUSED = "why a material asked for stays out"
    CORNERS = "what closeness costs"
    SEARCH = "what the catalogue has that comes nearer"


@dataclass(frozen=True, slots=True, repr=False)
class Replacement(Told):
    """A formula changed.

    Args:
        start: the bench, the formula of today and what was asked.
        near: the formula as it would be.
        comparison: both side by side.
        exchange: what one would weigh if no rule stood in the way; its verdicts tell which do.
            ``None`` where even that cannot be.
        nearest: the nearest by what it contains, however many materials that touches; ``None``
            where it is ``near`` or was not found.
        cheapest: the cheapest that keeps every rule; ``None`` where it is ``near`` or not found.
        unused: materials that might have come in and did not, each with the nearest composition
            that has a little of it, or why there is none.
        corners: what closeness costs, where it was asked.
        search: what the catalogue has that comes nearer, where it was asked.
        undone: what there was no time for.
        forced: which rules force more changes than few; ``None`` where few were not asked for, are
            enough, or that was not found out.
    """

    start: Start
    near: Near
    comparison: Comparison
    exchange: Near | None
    nearest: Near | None
    cheapest: Near | None
    unused: tuple[tuple[str, Near | Refusal], ...]
    corners: tuple[Corner, ...] | None
    search: Search | None
    undone: frozenset[Aside] = frozenset()
    forced: Forced | None = None

    @property
    def in_the_way(self) -> tuple[str, ...]:
        """Rules that the exchange alone would break."""
        if self.exchange is None:
            return ()
        return tuple(verdict.rule.id for verdict in self.exchange.verdicts if not verdict.kept)


@dataclass(frozen=True, slots=True, repr=False)
class NoReplacement(Told):
    """Nothing on the shelf can do.

    Args:
        start: the bench, the formula of today and what was asked.
        refusal: what the solver said.
        search: what the catalogue has that would do; ``None`` where the solver was not sure.
        in_the_way: rules that nothing on the shelf can keep, each by itself, as they name what is
            not to be used. ``search`` leaves them aside where nothing does with them.
    """

    start: Start
    refusal: Refusal
    search: Search | None
    in_the_way: tuple[str, ...] = ()


def usual_nearly() -> float:
    """How much of a bar may differ more so that fewer materials are touched [kg/kg]."""
    return figure("let go", Dimension.SHARE).span.typical


def replaced(
    start: Start,
    order: Sequence[Stage] = CLOSE,
    *,
    nearly: float = 0.0,
    corners: bool = False,
    look: bool = False,
    deadline: Deadline = NEVER,
) -> Replacement | NoReplacement:
    """Change the first formula of a start.

    Args:
        start: as ``read_start`` gives it.
        order: what to keep small first.
        nearly: how much of the bar may differ more so that fewer materials are touched [kg/kg];
            ``usual_nearly`` is what a formulator lets go.
        corners: whether to find what closeness costs.
        look: whether to look in the catalogue for what comes nearer.
        deadline: when to leave undone what is said beside the formula.

    Raises:
        CheckFailedError: when an answer breaks a rule by the independent check.
    """
    near, few = _near(start, order, nearly, deadline)
    if isinstance(near, Refusal):
        return _nothing(start, near, deadline)
    formula, bench, late = start.formulas[0], start.bench, _Late(deadline)
    by_content = few and (nearly > 0 or order[0] is Stage.COST)
    dear = order[0] is not Stage.COST
    return Replacement(
        start=start,
        near=near,
        comparison=compare(bench, formula, near.composition, start.unpriced),
        exchange=late.found(
            Aside.EXCHANGE, lambda: exchanged(bench, formula, nearly=nearly, deadline=deadline)
        ),
        nearest=_other(near, late.found(Aside.NEAREST, lambda: _by_content(start, deadline)))
        if by_content
        else None,
        cheapest=_other(
            near, late.found(Aside.CHEAPEST, lambda: cheapest_of(bench, formula, deadline))
        )
        if dear
        else None,
        unused=tuple(_unused(start, near, (order, nearly), late)),
        corners=late.found(Aside.CORNERS, lambda: _corners(start, deadline)) if corners else None,
        search=late.found(Aside.SEARCH, lambda: searched(start, near, deadline)) if look else None,
        forced=late.found(Aside.FORCED, lambda: _forced(start, near, deadline))
        if nearly > 0 and dear
        else None,
        undone=late.undone | (frozenset() if few else {Aside.FEW}),
    )


def _other(near: Near, found: Near | None) -> Near | None:
    """What was found, where it is another composition than the answer."""
    if found is None:
        return None
    was, now = near.composition.parts, found.composition.parts
    apart = (abs(was.get(name, 0.0) - now.get(name, 0.0)) for name in {*was, *now})
    return found if max(apart) > TOUCHED else None


def _forced(start: Start, near: Near, deadline: Deadline) -> Forced | None:
    if len(near.touched) <= round(figure("few materials", Dimension.RATIO).span.typical):
        return None
    strength = ionic_strength(start.bench, near.composition)
    return forced(start.bench, start.formulas[0], strength, start.wanted, deadline)


def _near(
    start: Start, order: Sequence[Stage], nearly: float, deadline: Deadline
) -> tuple[Near | Refusal, bool]:
    """The nearest as asked, and whether it touches few materials as asked.

    Where there is no time to settle how few would do, it is the nearest by what it contains.
    """
    formula, bench = start.formulas[0], start.bench
    near = nearest(
        bench,
        formula,
        order,
        nearly=nearly,
        wanted=start.wanted,
        deadline=deadline.part(SETTLING),
    )
    late = isinstance(near, Refusal) and not isinstance(near.outcome, Infeasible)
    if not late or deadline.is_never or order[0] is Stage.COST:
        return near, True
    again = nearest(bench, formula, BY_CONTENT, deadline=deadline)
    return again, isinstance(again, Refusal)


class _Late:
    """What is asked beside an answer while there is time, and what there was none for."""

    def __init__(self, deadline: Deadline) -> None:
        self.deadline = deadline
        self.undone: frozenset[Aside] = frozenset()

    def found(self, what: Aside, ask: Callable[[], Said | None]) -> Said | None:
        """An answer; ``None`` where there is none or no time for it, which is kept in mind."""
        answer = None if self.deadline.passed() else ask()
        if answer is None and self.deadline.passed():
            self.undone |= {what}
        return answer


def _corners(start: Start, deadline: Deadline) -> tuple[Corner, ...] | None:
    edge = frontier(start.bench, start.formulas[0], deadline=deadline)
    return None if isinstance(edge, Refusal) else edge


def _nothing(start: Start, refusal: Refusal, deadline: Deadline) -> NoReplacement:
    """Why nothing does, what to look for, and which rules ask for the very thing that is gone."""
    if not isinstance(refusal.outcome, Infeasible):
        return NoReplacement(start, refusal, None)
    soon = deadline.for_explaining(0.0, LOOKING_S)  # what clashes is to be said too
    ways = tuple(_each_in_the_way(start, soon))
    search = searched(start, None, soon)
    if ways and not search.best:
        others = tuple(rule for rule in start.bench.brief.rules if rule.id not in ways)
        search = searched(replace(start, bench=start.bench.with_only(others)), None, soon)
    return NoReplacement(start, refusal, search, ways)


def _each_in_the_way(start: Start, deadline: Deadline) -> Iterator[str]:
    """Rules that cannot be kept even alone without what is not to be used."""
    rules = start.bench.brief.rules
    outs = tuple(rule for rule in rules if rule.shuts_out() is not None)
    for rule in rules:
        if rule not in outs and not rule.dispersed:
            doses = (one for one in rules if one is not rule and {*one.ties()} & {*rule.uses()})
            only = start.bench.with_only((*outs, rule, *doses))
            alone, _, _ = least(only, deadline=deadline)
            if isinstance(alone, Infeasible):
                yield rule.id


def searched(start: Start, near: Near | None, deadline: Deadline = NEVER) -> Search:
    """What the catalogue has that would do, or would come nearer than ``near``."""
    formula, bench = start.formulas[0], start.bench
    lost = () if near is None else tuple(kept_out(bench) & formula.parts.keys())
    today = None if start.unpriced & formula.parts.keys() else bench.cost_of(formula)
    return look_for(
        bench, formula, cost_today=today, nearer_than=near, lost=lost, deadline=deadline
    )


def _by_content(start: Start, deadline: Deadline) -> Near | None:
    found = nearest(start.bench, start.formulas[0], BY_CONTENT, deadline=deadline)
    return found if isinstance(found, Near) else None


def _unused(
    start: Start, near: Near, how: tuple[Sequence[Stage], float], late: _Late
) -> Iterator[tuple[str, Near | Refusal]]:
    for name in start.wanted:
        if name not in near.composition.parts:
            ask = partial(_with_some, start, name, how, late.deadline)
            found = late.found(Aside.UNUSED, ask)
            if isinstance(found, Near | Refusal):
                yield name, found


def _with_some(
    start: Start, name: str, how: tuple[Sequence[Stage], float], until: Deadline
) -> Near | Refusal | None:
    """The nearest with some of a material, or why there is none; ``None`` where time ran out."""
    bench, formula, (order, nearly) = start.bench, start.formulas[0], how
    found = with_some(bench, formula, name, order, nearly=nearly, deadline=until)
    cut = isinstance(found, Refusal) and not isinstance(found.outcome, Infeasible)
    return None if cut and until.passed() else found
