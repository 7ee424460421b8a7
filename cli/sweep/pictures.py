"""Many scenarios as pictures: how costs lie apart, and how often each material is in."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ..kit.numbers import percent
from ..picture.bars import Amount, Bars
from ..picture.spread import Distributions, Quantiles
from .words import label_of, span_said, unit_of

if TYPE_CHECKING:
    from ...constraints.model.brief import Bench
    from ...solver.scenarios.along import Along
    from ...solver.scenarios.summary import Standing, Summary

MOST = 24
"""Materials in one picture; the table beside it has them all."""


def costs_picture(found: "Summary", currency: str) -> Distributions | None:
    """The cheapest and the formula that is held, to one scale; ``None`` without a composition."""
    if not found.costs or found.none == found.count:
        return None
    lines = [("the cheapest", found.costs)]
    if found.unmade < found.count:
        lines.append(("today's formula held", found.held))
    spreads = tuple(_spread(name, figures) for name, figures in lines)
    middle = spreads[0]
    said = (
        f"Over {found.count:,} scenarios the cheapest costs {middle.said[2]} {currency}/kg in the"
        f" middle, in nine of ten {middle.said[1]} to {middle.said[3]}."
    )
    return Distributions("What it costs over all scenarios", said, f"{currency}/kg", spreads)


def limit_picture(bench: "Bench", along: "Along") -> Distributions | None:
    """What the cheapest costs, stretch by stretch of a limit; ``None`` without a composition."""
    unit, currency = unit_of(bench, along), bench.brief.currency
    there = [one for one in along.stretches if one.costs]
    if not there:
        return None
    spreads = tuple(_spread(span_said((one.low, one.high), unit), one.costs) for one in there)
    said = (
        f"With the {label_of(along)} at {spreads[0].name} the cheapest costs {spreads[0].said[2]}"
        f" {currency}/kg in the middle, at {spreads[-1].name} {spreads[-1].said[2]}."
    )
    return Distributions(f"Cost along the {label_of(along)}", said, f"{currency}/kg", spreads)


def _spread(name: str, figures: Sequence[float]) -> Quantiles:
    lowest, low, middle, high, highest = figures
    ends = (lowest, low, middle, high, highest)
    a, b, c, d, e = (f"{one:.3f}" for one in ends)
    return Quantiles(name, ends, (a, b, c, d, e))


def standings_picture(standings: "Sequence[Standing]") -> Bars | None:
    """How often each material is in, those that come and go first; ``None`` where none does."""
    moving = [one for one in standings if one.used < 1.0]
    if not moving:
        return None
    always = len(standings) - len(moving)
    said = f"How often each material that comes and goes is in; {always} more are in always."
    bars = (Amount(one.material, one.used, percent(one.used)) for one in moving[:MOST])
    return Bars("Who comes and goes", said, ("material", "scenarios"), tuple(bars))
