"""The whole answer to "this is not to be had any more" and "I have a stronger grade"."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ...constraints.bench.wish import Start
from ...constraints.market.practice import figure
from ...constraints.values.units import Dimension
from ...solver.cheapest.cheapest import Refusal, least
from ...solver.nearest.candidates import Search, look_for
from ...solver.nearest.distance import Stage
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
from ...solver.program.outcome import Infeasible
from .comparison import Comparison, compare


@dataclass(frozen=True, slots=True)
class Replacement:
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

    @property
    def in_the_way(self) -> tuple[str, ...]:
        """Rules that the exchange alone would break."""
        if self.exchange is None:
            return ()
        return tuple(verdict.rule.id for verdict in self.exchange.verdicts if not verdict.kept)


@dataclass(frozen=True, slots=True)
class NoReplacement:
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
) -> Replacement | NoReplacement:
    """Change the first formula of a start.

    Args:
        start: as ``read_start`` gives it.
        order: what to keep small first.
        nearly: how much of the bar may differ more so that fewer materials are touched [kg/kg];
            ``usual_nearly`` is what a formulator lets go.
        corners: whether to find what closeness costs.
        look: whether to look in the catalogue for what comes nearer.

    Raises:
        CheckFailedError: when an answer breaks a rule by the independent check.
    """
    formula, bench = start.formulas[0], start.bench
    near = nearest(bench, formula, order, nearly=nearly, wanted=start.wanted)
    if isinstance(near, Refusal):
        return _nothing(start, near)
    edge = frontier(bench, formula) if corners else None
    return Replacement(
        start=start,
        near=near,
        comparison=compare(bench, formula, near.composition, start.unpriced),
        exchange=exchanged(bench, formula, nearly=nearly),
        nearest=_by_content(start) if nearly > 0 or order[0] is Stage.COST else None,
        cheapest=None if order[0] is Stage.COST else cheapest_of(bench, formula),
        unused=tuple(_unused(start, near, order, nearly)),
        corners=None if isinstance(edge, Refusal) else edge,
        search=searched(start, near) if look else None,
    )


def _nothing(start: Start, refusal: Refusal) -> NoReplacement:
    """Why nothing does, what to look for, and which rules ask for the very thing that is gone."""
    if not isinstance(refusal.outcome, Infeasible):
        return NoReplacement(start, refusal, None)
    ways = tuple(_each_in_the_way(start))
    search = searched(start, None)
    if ways and not search.best:
        others = tuple(rule for rule in start.bench.brief.rules if rule.id not in ways)
        search = searched(replace(start, bench=start.bench.with_only(others)), None)
    return NoReplacement(start, refusal, search, ways)


def _each_in_the_way(start: Start) -> Iterator[str]:
    """Rules that cannot be kept even alone without what is not to be used."""
    rules = start.bench.brief.rules
    outs = tuple(rule for rule in rules if rule.shuts_out() is not None)
    for rule in rules:
        if rule not in outs and not rule.dispersed:
            doses = (one for one in rules if one is not rule and one.dosed in rule.uses())
            alone, _, _ = least(start.bench.with_only((*outs, rule, *doses)))
            if isinstance(alone, Infeasible):
                yield rule.id


def searched(start: Start, near: Near | None) -> Search:
    """What the catalogue has that would do, or would come nearer than ``near``."""
    formula, bench = start.formulas[0], start.bench
    lost = () if near is None else tuple(kept_out(bench) & formula.parts.keys())
    today = None if start.unpriced & formula.parts.keys() else bench.cost_of(formula)
    return look_for(bench, formula, cost_today=today, nearer_than=near, lost=lost)


def _by_content(start: Start) -> Near | None:
    found = nearest(start.bench, start.formulas[0], BY_CONTENT)
    return found if isinstance(found, Near) else None


def _unused(
    start: Start, near: Near, order: Sequence[Stage], nearly: float
) -> Iterator[tuple[str, Near | Refusal]]:
    for name in start.wanted:
        if name not in near.composition.parts:
            yield name, with_some(start.bench, start.formulas[0], name, order, nearly=nearly)
