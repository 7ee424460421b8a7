"""What many scenarios come to, on the screen and as JSON."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ..kit.numbers import percent, share
from ..kit.one_screen import shortened_all
from ..kit.screen import heading, on_screen, paragraph, picture, table
from .pictures import costs_picture, standings_picture

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from ...constraints.model.brief import Bench
    from ...solver.scenarios.summary import Standing, Summary

NAMED = 26
"""Letters of a name in the short table."""

OVERLAP = (
    "Prices from which a material is out and up to which it is in overlap where others decide."
)

TAKEN = ("lowest", "one in twenty below", "middle", "one in twenty above", "highest")


SHOWN = 7
"""Materials that come and go that one screen names."""


def show_summary(
    console: "Console", bench: "Bench", found: "Summary", *, whole: bool = True
) -> None:
    """Costs, what holding today's formula costs, and who is in; in short, who comes and goes."""
    paragraph(console, f"{bench.brief.name}: {found.count:,} scenarios")
    if found.count < found.asked:
        paragraph(console, f"{found.asked - found.count:,} more were left undone as time ran out.")
    if found.none:
        paragraph(console, f"In {found.none:,} of them no composition keeps the rules.")
    if found.unmade:
        paragraph(console, f"In {found.unmade:,} the formula that is held cannot be made.")
    currency = bench.brief.currency
    made = table(f"{currency}/kg of mix", "cheapest", "held", "held costs more", right=(1, 2, 3))
    for said, *figures in zip(TAKEN, found.costs, found.held, found.regret, strict=False):
        made.add_row(said, *(f"{figure:.3f}" for figure in figures))
    console.print(made)
    picture(console, lambda: costs_picture(found, currency))
    if whole:
        heading(console, "Who is in")
        console.print(_standings(found.standings, currency))
        picture(console, lambda: standings_picture(found.standings))
        paragraph(console, OVERLAP)
        return
    moving = [one for one in found.standings if one.used < 1.0]
    if moving:
        heading(console, "Who comes and goes")
        console.print(_standings(tuple(moving[:SHOWN]), currency, fold=False))
    on_screen(console, "--all: every material, with its shares and prices.")


def _standings(standings: "tuple[Standing, ...]", currency: str, *, fold: bool = True) -> "Table":
    made = table(
        "material", "in", "share", f"in up to {currency}/kg", "out from", right=(1, 2, 3, 4)
    )
    called = shortened_all([one.material for one in standings], NAMED)
    for one in standings:
        made.add_row(
            one.material if fold else called[one.material],
            percent(one.used),
            f"{share(one.low).removesuffix(' %')}–{share(one.high)}",
            "–" if one.in_up_to is None else f"{one.in_up_to:.2f}",
            "–" if one.out_from is None else f"{one.out_from:.2f}",
        )
    return made


def summary_form(bench: "Bench", found: "Summary") -> Mapping[str, object]:
    """The same as JSON."""
    from ...solver.scenarios.summary import QUANTILES

    return {
        "product": bench.brief.name,
        "units": {"cost": f"{bench.brief.currency} per kg of mix", "share": "kg per kg of mix"},
        "scenarios": found.count,
        "undone": found.asked - found.count,
        "without_composition": found.none,
        "held_cannot_be_made": found.unmade,
        "quantiles": list(QUANTILES),
        "costs": list(found.costs),
        "held": list(found.held),
        "regret": list(found.regret),
        "solved_from_cold": found.anew,
        "materials": [
            {
                "material": one.material,
                "used": one.used,
                "low": one.low,
                "high": one.high,
                "in_up_to": one.in_up_to,
                "out_from": one.out_from,
            }
            for one in found.standings
        ],
    }
