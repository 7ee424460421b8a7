"""Bars changed alike, on the screen."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...solver.nearest.distance import TOUCHED, Stage
from ...solver.nearest.family import Family
from ...solver.nearest.nearest import touched
from ..change.words import CAUTION, NOT_SENSIBLE, forced_sentence, listed, points
from ..kit.numbers import money, share
from ..kit.screen import heading, paragraph, table

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.bench.wish import Start
    from ...solver.nearest.one_change import Base


def show_family(console: "Console", start: "Start", found: Family) -> None:
    """One change for all, or the fewest; then every bar."""
    bench = start.bench
    alike = len(found.bases) == 1
    paragraph(console, f"{bench.brief.name}: {len(start.formulas)} bars on one base")
    paragraph(
        console,
        "One change does for all of them."
        if alike
        else f"{len(found.bases)} changes do; whether fewer would was not settled in time."
        if found.cut
        else f"No one change does for all of them; {len(found.bases)} do, the cheapest so parted.",
    )
    for base in found.bases:
        _show_base(console, start, base)
    heading(console, "The bars")
    made = table("bar", "by class", "by subst.", "before", "after", right=(1, 2, 3, 4))
    for base in found.bases:
        for place, bar in zip(base.places, base.bars, strict=True):
            formula = start.formulas[place]
            known = not start.unpriced & formula.parts.keys()
            before = f"{_cost(start, place):.3f}" if known else "not known"
            apart = (share(bar.changed[stage]) for stage in (Stage.CLASS, Stage.SUBSTANCE))
            made.add_row(named(start, place), *apart, before, f"{bar.cost:.3f}")
    console.print(made)
    paragraph(
        console,
        f"Before and after are {bench.brief.currency}/kg. {mean_sentence(start, found)}",
    )
    for said in sensible_sentences(found):
        paragraph(console, said)
    paragraph(console, CAUTION)


def mean_sentence(start: "Start", found: Family) -> str:
    """What the bars cost on the mean, changed alike and each by itself."""
    currency = start.bench.brief.currency
    together, alone = _mean(found.bases), _mean(found.apart)
    return (
        f"On the mean the bars cost {money(together, currency)}; each changed by itself, "
        f"{money(alone, currency)}."
    )


def sensible_sentences(found: Family) -> tuple[str, ...]:
    """That the rules leave nothing which a formulator would call sensible, where that is so."""
    bars = (bar for base in found.bases for bar in base.bars)
    return () if all(bar.sensible for bar in bars) else (NOT_SENSIBLE,)


def _show_base(console: "Console", start: "Start", base: "Base") -> None:
    names = listed(named(start, place) for place in base.places)
    heading(console, f"The change for {names}")
    first, after = start.formulas[base.places[0]], base.bars[0].composition
    made = table("material", "before", "after", "change", right=(1, 2, 3))
    for name in touched(start.bench, first, after):
        before, now = first.parts.get(name, 0.0), after.parts.get(name, 0.0)
        made.add_row(name, share(before), share(now), points(now - before))
    console.print(made)
    for place, scale in zip(base.places, base.scales, strict=True):
        if abs(scale - 1.0) > TOUCHED:
            paragraph(console, f"{named(start, place)} takes {scale:.4g} times as much of it.")
    if base.forced is not None:
        paragraph(console, forced_sentence(base.forced))


def named(start: "Start", place: int) -> str:
    """A bar's name; with its number where another has the same."""
    names = [formula.name for formula in start.formulas]
    own = names[place]
    return own if names.count(own) == 1 else f"{own} ({place + 1})"


def _cost(start: "Start", place: int) -> float:
    return start.bench.cost_of(start.formulas[place])


def _mean(bases: Sequence["Base"]) -> float:
    costs = [bar.cost for base in bases for bar in base.bars]
    return sum(costs) / len(costs)
