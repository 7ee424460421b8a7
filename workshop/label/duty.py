"""Warnings that a market's limits want on the pack of a composition."""

from collections.abc import Mapping

from ...constraints.catalogue.catalogue import limits
from ...constraints.catalogue.catalogue import substance as known
from ...constraints.market.limit import Limit, named_by, rule_of
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.contents import content_spans


def warnings_due(bench: Bench, composition: Composition, market: str) -> tuple[Limit, ...]:
    """The limits whose warning is due, at the upper end of what the materials may contain.

    Raises:
        KeyError: when a material of the composition is not on the shelf.
    """
    present = {
        inci: span.high / (1 - bench.brief.portioning.drying)
        for inci, span in content_spans(bench, composition).items()
        if span.high > 0
    }
    return tuple(
        limit
        for limit in limits(market)
        if limit.warning and _counted(bench, limit, present) > limit.warning_over
    )


def _counted(bench: Bench, limit: Limit, present: Mapping[str, float]) -> float:
    """What a limit counts in the bar as sold [kg/kg]; what cannot be counted is counted whole."""
    named = named_by(limit, present, bench.brief.purposes)
    inside = {inci: bench.substances[inci] for inci in named}
    molar_mass = limit.counted_molar_mass
    if limit.counted_as and molar_mass is None:
        molar_mass = known(limit.counted_as).molar_mass
    rule = rule_of(limit, inside, molar_mass, 0.0)
    factors = {} if isinstance(rule, str) else rule.factors
    return sum(present[inci] * factors.get(inci, 1.0) for inci in named)
