"""How sure an answer is, on the screen."""

from typing import TYPE_CHECKING

from ..kit.numbers import measured, money, percent
from ..kit.screen import heading, paragraph, picture, table
from .pictures import broken_picture, safety_picture
from .words import (
    DRAWN,
    asked_sentence,
    correction_sentence,
    read_sentence,
    tried_sentence,
    worth_sentence,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console
    from rich.table import Table

    from ...constraints.model.brief import Bench
    from ...constraints.model.material import Span
    from ...solver.uncertain.informing import Informed
    from ...solver.uncertain.safety import Safe
    from ...solver.uncertain.tried import RuleTried
    from ...solver.uncertain.worth import Safety, Worth

SHOWN = 5
"""Materials worth knowing that are shown."""


def show_sureness(
    console: "Console",
    bench: "Bench",
    safe: "Safe",
    yearly: float | None = None,
) -> None:
    """What was asked, what it costs, how it was tried, and what a reading would be worth."""
    currency, sure, worths = bench.brief.currency, safe.sure, safe.worths
    heading(console, "How sure it is")
    paragraph(console, asked_sentence(sure, safe.plain, currency, yearly))
    paragraph(console, tried_sentence(sure))
    if sure.correction is not None:
        paragraph(console, correction_sentence(sure.correction))
    broken = [one for one in sure.tried.rules if one.broken]
    if broken:
        console.print()
        console.print(tried_table(broken))
        picture(console, lambda: broken_picture(broken, sure.tried.of))
    if safe.curve:
        heading(console, "What safety costs")
        console.print(safety_table(safe.curve, currency))
        picture(console, lambda: safety_picture(safe.curve, currency))
    if worths:
        heading(console, "What a reading is worth")
        paragraph(console, worth_sentence(worths[0], currency, yearly))
        console.print(worth_table(worths[:SHOWN], currency, yearly))
    paragraph(console, DRAWN)


def show_read(console: "Console", read: "Informed", *, whole: bool) -> None:
    """What readings of bars leave possible of each material by itself; in short, that they do."""
    if whole:
        heading(console, "What was read")
    paragraph(console, read_sentence(read))
    if not whole or not read.narrowed:
        return
    made = table("material", "alkalinity before", "and now, mol/kg", right=(1, 2))
    for one in read.narrowed:
        before = "–" if one.before is None else _span(one.before)
        made.add_row(one.material, before, _span(one.after))
    console.print(made)


def _span(span: "Span") -> str:
    return f"{span.low:.4f}, {span.typical:.4f}, {span.high:.4f}"


def tried_table(rules: "Sequence[RuleTried]") -> "Table":
    """Rules by how often they break."""
    made = table("rule", "breaks in", "at most", "lowest", "middle", "highest", right=range(1, 6))
    for one in sorted(rules, key=lambda rule: -rule.broken):
        made.add_row(one.rule.id, percent(one.share), percent(one.at_most), *_values(one))
    return made


def _values(one: "RuleTried") -> list[str]:
    from ...constraints.model.rule import Limited

    if not isinstance(one.rule, Limited):
        return ["–"] * 3
    return [measured(one.rule, value) for value in (one.low, one.middle, one.high)]


def safety_table(curve: "Sequence[Safety]", currency: str) -> "Table":
    """Cost against how much of every range is borne."""
    made = table(
        "of each range",
        f"{currency}/kg",
        "lots kept",
        "add at most",
        "comes in",
        right=(0, 1, 2, 3),
    )
    for one in curve:
        cost = "none" if one.cost is None else f"{one.cost:.3f}"
        kept = "–" if one.kept is None else percent(one.kept)
        made.add_row(
            percent(one.scale), cost, kept, f"{one.most * 1000:.2f} g/kg", ", ".join(one.enters)
        )
    return made


def worth_table(worths: "Sequence[Worth]", currency: str, yearly: float | None = None) -> "Table":
    """Materials by what knowing them is worth."""
    heads = ["material", f"saves {currency}/kg"]
    heads += [] if yearly is None else [f"{currency} a year"]
    made = table(*heads, "narrows the pH by", right=range(1, len(heads) + 1))
    for one in worths:
        steadier = "–" if one.steadier is None else f"{one.steadier:.2f}"
        a_year = [] if yearly is None else [f"{one.saves * yearly:.0f}"]
        saves = money(one.saves, "").removesuffix(" /kg")
        made.add_row(one.material, saves, *a_year, steadier)
    return made
