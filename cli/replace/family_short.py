"""Bars changed alike, in one screen."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ...solver.nearest.family import Family
from ...solver.nearest.nearest import touched
from ..change.short import DUE_AGAIN
from ..change.words import forced_sentence, listed, points
from ..kit.numbers import share
from ..kit.one_screen import Part, columns, sentences, shortened_all, show_parts
from .family_view import mean_sentence, named, sensible_sentences

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.bench.wish import Start
    from ...solver.nearest.one_change import Base

NAME = 40


def show_short_family(console: "Console", start: "Start", found: Family) -> None:
    """The change for each lot of bars, what they then cost, and what is due again."""
    bench, count = start.bench, len(found.bases)
    alike = "one change does for all" if count == 1 else f"{count} changes are needed"
    if found.cut and count > 1:
        alike = f"{count} changes do; whether fewer would was not settled in time"
    parts = [
        sentences("", (f"{bench.brief.name}: {len(start.formulas)} bars on one base, {alike}.",)),
        *(part for base in found.bases for part in _change(start, base)),
        columns("The bars", _bars(start, found), right=(1,), least=2),
        sentences("", (mean_sentence(start, found), *sensible_sentences(found))),
        sentences("Beware", (DUE_AGAIN,)),
    ]
    show_parts(console, parts, "--all: how far each bar is from what it was.")


def _change(start: "Start", base: "Base") -> Iterator[Part]:
    first, after = start.formulas[base.places[0]], base.bars[0].composition
    names = tuple(touched(start.bench, first, after))
    short = shortened_all(list(names), NAME)
    shares = [(first.parts.get(name, 0.0), after.parts.get(name, 0.0)) for name in names]
    cells = [
        (short[name], share(before), "→", share(now), f"({points(now - before)})")
        for name, (before, now) in zip(names, shares, strict=True)
    ]
    title = f"Change in {listed(named(start, place) for place in base.places)}"
    yield columns(title, cells, right=(1, 3, 4), least=2)
    if base.forced is not None:
        yield sentences("", (forced_sentence(base.forced),))


def _bars(start: "Start", found: Family) -> list[tuple[str, str]]:
    currency = start.bench.brief.currency
    return [
        (named(start, place), f"{bar.cost:.3f} {currency}/kg")
        for base in found.bases
        for place, bar in zip(base.places, base.bars, strict=True)
    ]
