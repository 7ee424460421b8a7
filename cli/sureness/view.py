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
    reading_sentence,
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
    from ...solver.uncertain.sure import Sure
    from ...solver.uncertain.tried import RuleTried
    from ...solver.uncertain.worth import Safety, Worth

OVER = (
    "Over half of each range, a rule holds for whatever lies no further from its typical figure"
    " than half of what the certificates allow."
)

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
        console.print(safety_table(safe.curve, currency, sure))
        paragraph(console, OVER)
        picture(console, lambda: safety_picture(safe.curve, currency))
    if worths:
        heading(console, "What a reading is worth")
        paragraph(console, worth_sentence(worths[0], currency, yearly))
        console.print(worth_table(worths[:SHOWN], currency, yearly))
        paragraph(console, reading_sentence(worths[0]))
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


def safety_table(curve: "Sequence[Safety]", currency: str, asked: "Sure | None" = None) -> "Table":
    """Cost against how much of every range is borne, and where what was asked lies among it."""
    moves = any(one.enters or one.leaves for one in curve)
    heads = ("rules hold over", f"{currency}/kg", "lots kept", "add at most")
    made = table(*heads, *(("in, out",) if moves else ()), right=(1, 2, 3))
    for one in curve:
        cost = "none" if one.cost is None else f"{one.cost:.3f}"
        kept = "–" if one.kept is None else percent(one.kept)
        moved = (_moved(one),) if moves else ()
        made.add_row(
            f"{percent(one.scale)} of each range", cost, kept, f"{one.most * 1000:.2f} g/kg", *moved
        )
    if asked is not None:
        most = asked.correction.most if asked.correction else 0.0
        kept = percent(1.0 - asked.tried.share)
        blank = ("",) if moves else ()
        cost = f"{asked.finding.cost:.3f}"
        made.add_row("as you asked", cost, kept, f"{most * 1000:.2f} g/kg", *blank)
    return made


def _moved(one: "Safety") -> str:
    """What comes in and what goes out, by a sign."""
    return ", ".join([*(f"+ {name}" for name in one.enters), *(f"− {name}" for name in one.leaves)])


def worth_table(worths: "Sequence[Worth]", currency: str, yearly: float | None = None) -> "Table":
    """Materials by what knowing them is worth."""
    heads = ["material", f"saves {currency}/kg"]
    heads += [] if yearly is None else [f"{currency} a year"]
    heads += ["by contents", "narrows pH by"]
    made = table(*heads, right=range(1, len(heads)))
    for one in worths:
        steadier = "–" if one.steadier is None else f"{one.steadier:.2f}"
        a_year = [] if yearly is None else [f"{one.saves * yearly:.0f}"]
        contents = "–" if one.by_contents is None else _saved(one.by_contents)
        made.add_row(one.material, _saved(one.saves), *a_year, contents, steadier)
    return made


def _saved(amount: float) -> str:
    return money(amount, "").removesuffix(" /kg")
