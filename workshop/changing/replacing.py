"""The whole answer to "this is not to be had any more" and "I have a stronger grade"."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ...constraints.bench.changing import Start
from ...solver.cheapest.cheapest import Refusal
from ...solver.nearest.candidates import Search, look_for
from ...solver.nearest.distance import Stage
from ...solver.nearest.frontier import Corner, frontier
from ...solver.nearest.nearest import CLOSE, Near, exchanged, kept_out, nearest, with_some
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
        unused: materials that might have come in and did not, each with the nearest composition
            that has a little of it, or why there is none.
        corners: what closeness costs, where it was asked.
        search: what the catalogue has that comes nearer, where it was asked.
    """

    start: Start
    near: Near
    comparison: Comparison
    exchange: Near | None
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
    """

    start: Start
    refusal: Refusal
    search: Search | None


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
        nearly: by how much a distance may be missed so that fewer materials are touched [kg/kg].
        corners: whether to find what closeness costs.
        look: whether to look in the catalogue for what comes nearer.

    Raises:
        CheckFailedError: when an answer breaks a rule by the independent check.
    """
    formula, bench = start.formulas[0], start.bench
    near = nearest(bench, formula, order, nearly=nearly)
    if isinstance(near, Refusal):
        sure = isinstance(near.outcome, Infeasible)
        return NoReplacement(start, near, searched(start, None) if sure else None)
    edge = frontier(bench, formula) if corners else None
    return Replacement(
        start=start,
        near=near,
        comparison=compare(bench, formula, near.composition, start.unpriced),
        exchange=exchanged(bench, formula),
        unused=tuple(_unused(start, near, order)),
        corners=None if isinstance(edge, Refusal) else edge,
        search=searched(start, near) if look else None,
    )


def searched(start: Start, near: Near | None) -> Search:
    """What the catalogue has that would do, or would come nearer than ``near``."""
    formula, bench = start.formulas[0], start.bench
    lost = () if near is None else tuple(kept_out(bench) & formula.parts.keys())
    today = None if start.unpriced & formula.parts.keys() else bench.cost_of(formula)
    return look_for(bench, formula, cost_today=today, nearer_than=near, lost=lost)


def _unused(
    start: Start, near: Near, order: Sequence[Stage]
) -> Iterator[tuple[str, Near | Refusal]]:
    for name in start.wanted:
        if name not in near.composition.parts:
            yield name, with_some(start.bench, start.formulas[0], name, order)
