"""What the lots that may come do to a composition: a sentence, a table, and as JSON."""

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from math import ceil, floor
from typing import TYPE_CHECKING

from ...constraints.model.frame import Same
from ..kit.numbers import measured
from ..kit.screen import heading, paragraph, table
from .beware import MEASURE

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import Console
    from rich.table import Table

    from ...constraints.model.brief import Bench, Composition
    from ...constraints.model.rule import Rule
    from ...constraints.model.uncertainty import Uncertainty
    from ...solver.uncertain.spread import Between, Borne, Reach

QUICK = 2_000
"""Lots drawn for a sentence."""

RARE = 0.005
"""What fewer lots do is not worth a sentence [1]."""


@lru_cache(maxsize=4)  # a screen and a page say the same of them, each in short and in full
def _borne(
    bench: Same["Bench"],
    composition: Same["Composition"],
    within: Same["Uncertainty | None"],
    *,
    only: Same["Rule"] | None = None,
    quick: bool = False,
) -> "Borne":
    """What lots do to a composition, drawn once for all that is said of it."""
    from ...solver.uncertain.spread import borne

    asked = bench.thing if only is None else bench.thing.with_only((only.thing,))
    if quick:
        return borne(asked, composition.thing, within.thing, draws=QUICK, ends=False)
    return borne(asked, composition.thing, within.thing)


@lru_cache(maxsize=4)
def _at_typical(rule: Same["Rule"]) -> Same["Rule"]:
    """A rule that holds for typical lots alone: the same one whenever it is asked for."""
    return Same(replace(rule.thing, within=None))


def lots_sentence(
    bench: "Bench", composition: "Composition", within: "Uncertainty | None" = None
) -> str:
    """How many lots break what, in a sentence; empty where next to none do."""
    found = _borne(Same(bench), Same(composition), Same(within), quick=True)
    if found.broken.low < RARE:
        return ""
    band = next((one for one in found.reaches if one.rule.corrected), None)
    leave = band is not None and band.broken.low >= RARE
    ph = f", {_share(band.broken)} the pH band" if band is not None and leave else ""
    return f"Lots vary: {_share(found.broken)} break a rule{ph} (cheapest --sure 99%)."


def band_sentence(
    bench: "Bench", composition: "Composition", within: "Uncertainty | None" = None
) -> str:
    """Where the pH of lots lies at the furthest, and how many leave the band; empty without one."""
    from ...constraints.rules.acidity import band_of

    band = band_of(bench.brief)
    if band is None:
        return ""
    found = _borne(Same(bench), Same(composition), Same(within), only=_at_typical(Same(band)))
    if not found.reaches or found.reaches[0].least is None:
        return ""
    one = found.reaches[0]
    said = f"Lots within the certificates read pH {one.least:.2f} to {one.greatest:.2f}"
    if not one.tried.broken:
        return f"{said} at the furthest, and next to none leave the band."
    return f"{said} at the furthest, and {_share(one.broken)} of them leave the band."


def with_lots(
    warnings: "Iterable[str]",
    bench: "Bench",
    composition: "Composition",
    within: "Uncertainty | None" = None,
) -> tuple[str, ...]:
    """What to beware of, with what lots do behind what a measured pH is asked for."""
    found = list(warnings)
    said = lots_sentence(bench, composition, within)
    place = next((number for number, one in enumerate(found, 1) if one == MEASURE), len(found))
    return (*found[:place], *((said,) if said else ()), *found[place:])


def _share(one: "Between") -> str:
    low, high = floor(one.low * 100), ceil(one.high * 100)
    return f"{low}–{high} %"


def show_lots(
    console: "Console",
    bench: "Bench",
    composition: "Composition",
    within: "Uncertainty | None" = None,
) -> None:
    """How far each rule reaches over the lots that may come, and how often it breaks."""
    found = _borne(Same(bench), Same(composition), Same(within))
    if not found.reaches:
        return
    heading(console, "Over the lots that may come")
    console.print(lots_table(found))
    paragraph(
        console,
        f"{found.lots:,} lots drawn from the ranges of the certificates, nothing added at the"
        f" bench; {_share(found.broken)} of such lots break some rule, 19 times in 20. Law counts"
        " as it always does.",
    )


def lots_table(found: "Borne") -> "Table":
    """The rules that lots move, those first that break most."""
    made = table("rule", "least", "typical", "greatest", "breaks in", right=range(1, 5))
    for one in sorted(found.reaches, key=lambda reach: -reach.tried.broken):
        if one.typical is not None and _moves(one):
            broken = _share(one.broken) if one.tried.broken else "none"
            made.add_row(one.rule.id, *_figures(one), broken)
    return made


def _moves(one: "Reach") -> bool:
    return bool(one.tried.broken) or one.least is None or one.least != one.greatest


def _figures(one: "Reach") -> list[str]:
    from ...constraints.model.rule import Limited

    if not isinstance(one.rule, Limited):
        return ["–"] * 3
    figures = (one.least, one.typical, one.greatest)
    return ["–" if value is None else measured(one.rule, value) for value in figures]


def lots_form(
    bench: "Bench",
    composition: "Composition",
    within: "Uncertainty | None" = None,
    *,
    only: "Rule | None" = None,
) -> Mapping[str, object]:
    """The same as JSON, of all rules or of one."""
    asked = None if only is None else Same(only)
    found = _borne(Same(bench), Same(composition), Same(within), only=asked)
    return {
        "lots": found.lots,
        "broken": _between(found.broken),
        "rules": [
            {
                "rule": one.rule.id,
                "least": one.least,
                "typical": one.typical,
                "greatest": one.greatest,
                "broken": _between(one.broken),
            }
            for one in found.reaches
        ],
    }


def _between(one: "Between") -> Mapping[str, float]:
    return {"at_least": one.low, "at_most": one.high}
