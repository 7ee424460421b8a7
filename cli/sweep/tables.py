"""Many scenarios as rows: costs, who is in, and what a limit that moves comes to."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from ...constraints.values.names import shortened
from ..kit.numbers import percent, share
from ..kit.one_screen import shortened_all
from .words import TAKEN, bare, headed, span_said, unit_of

if TYPE_CHECKING:
    from ...constraints.model.brief import Bench
    from ...solver.scenarios.along import Along
    from ...solver.scenarios.summary import Standing, Summary

Cells = tuple[str, ...]

SHORT = 26
"""Letters of a name where a row must not be folded."""


def cost_rows(found: "Summary", currency: str) -> Iterator[Cells]:
    """Heads, then quantiles of the cheapest, of what is held and of what it costs more."""
    yield (f"{currency}/kg of mix", "cheapest", "held", "held costs more")
    for place, said in enumerate(TAKEN):
        columns = (found.costs, found.held, found.regret)
        yield (said, *(f"{one[place]:.3f}" if one else "–" for one in columns))


def standing_rows(standings: "Sequence[Standing]", currency: str, *, fold: bool) -> Iterator[Cells]:
    """Heads, then each material: how often it is in, with what share, and up to which price."""
    priced = any(one.out_from is not None for one in standings)
    prices = (f"in up to {currency}/kg", "out from") if priced else ()
    yield ("material", "in", "share", *prices)
    called = shortened_all([one.material for one in standings], SHORT)
    for one in standings:
        ends = (one.in_up_to, one.out_from) if priced else ()
        yield (
            one.material if fold else called[one.material],
            percent(one.used),
            f"{share(one.low).removesuffix(' %')}–{share(one.high)}",
            *("–" if end is None else f"{end:.2f}" for end in ends),
        )


def stretch_rows(bench: "Bench", along: "Along") -> Iterator[Cells]:
    """Heads, then each stretch of a limit: scenarios, without a composition, and what they cost."""
    unit = unit_of(bench, along)
    costs = ("lowest", "middle", f"highest, {bench.brief.currency}/kg")
    yield (headed(shortened(along.varied.about, SHORT), unit), "scenarios", "no answer", *costs)
    for one in along.stretches:
        yield (
            bare(span_said((one.low, one.high), unit), unit),
            f"{one.count:,}",
            f"{one.none:,}",
            *low_middle_high(one.costs),
        )


def low_middle_high(costs: Sequence[float]) -> Iterator[str]:
    """The lowest, the middle and the highest of quantiles; a dash each where there are none."""
    return (f"{costs[at]:.3f}" if costs else "–" for at in (0, 2, 4))


def switch_rows(bench: "Bench", along: "Along", *, fold: bool) -> Iterator[Cells]:
    """Heads, then each material that comes and goes: where the limit stood with it in and out."""
    unit = unit_of(bench, along)
    yield ("material", headed("in at", unit), "out at")
    called = shortened_all([one.material for one in along.switches], SHORT)
    for one in along.switches:
        name = one.material if fold else called[one.material]
        ends = (span_said(one.within, unit), span_said(one.without, unit))
        yield name, *(bare(each, unit) for each in ends)
