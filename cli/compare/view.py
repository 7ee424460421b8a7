"""Bars side by side on the screen, a column for each."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...constraints.model.rule import Limited
from ...constraints.model.verdict import Verdict
from ...workshop.changing.side_by_side import Across, Compared, SideBySide
from ..kit.numbers import measured, money, share
from ..kit.screen import heading, on_screen, paragraph, picture, table
from .pictures import acidity_picture, costs_picture

if TYPE_CHECKING:
    from rich.console import Console


def show_side_by_side(console: "Console", found: SideBySide, *, whole: bool) -> None:
    """The whole answer of ``compare``."""
    for letter, one in zip(_letters(found), found.bars, strict=True):
        paragraph(console, f"{letter}: {one.composition.name}, of {one.bench.brief.name}")
    _show_costs(console, found)
    if not whole:
        _show_short(console, found)
        return
    _show_rows(console, "Materials", found, found.materials, whole=whole)
    _show_rows(console, "Substances", found, found.substances, whole=whole)
    _show_rules(console, found, whole=whole)
    _show_labels(console, found)


SHORT = 8
"""So many materials that differ stand on the first screen."""


def _show_short(console: "Console", found: SideBySide) -> None:
    """What differs most, and where the rest is."""
    apart = [row for row in found.materials if not row.alike]
    apart.sort(key=lambda row: min(row.shares) - max(row.shares))
    if apart:
        made = table(*_columns(found, "material"), right=_right(found))
        for row in apart[:SHORT]:
            made.add_row(row.name, *(share(one) if one else "–" for one in row.shares))
        console.print(made)
    rest = len(apart) - SHORT
    more = "" if apart else "They hold the same materials in the same shares; "
    more = f"{rest} more materials differ; " if rest > 0 else more
    on_screen(console, f"{more}--all shows every one, substances, rules and ingredients.")


def _letters(found: SideBySide) -> tuple[str, ...]:
    return tuple("ABCDEFGHIJKLMNOPQRSTUVWXYZ"[: len(found.bars)])


def _columns(found: SideBySide, head: str) -> tuple[str, ...]:
    return head, *_letters(found)


def _right(found: SideBySide) -> range:
    return range(1, len(found.bars) + 1)


def _show_costs(console: "Console", found: SideBySide) -> None:
    made = table(*_columns(found, ""), right=_right(found))
    made.add_row("cost of the mix", *(_cost(one) for one in found.bars))
    made.add_row(
        "pH predicted", *("–" if one.ph is None else f"{one.ph.ph:.2f}" for one in found.bars)
    )
    made.add_row("as its materials vary", *(_range(one) for one in found.bars))
    broken = (sum(not verdict.kept for verdict in one.verdicts) for one in found.bars)
    made.add_row("rules broken", *(str(count) if count else "none" for count in broken))
    console.print(made)
    picture(console, lambda: costs_picture(found))
    picture(console, lambda: acidity_picture(found))
    unpriced = dict.fromkeys(name for one in found.bars for name in one.unpriced)
    if unpriced:
        paragraph(console, f"The price is not known of {', '.join(unpriced)}.")
    if any(one.ph is not None and not one.ph.valid for one in found.bars):
        paragraph(console, "So much salt is dissolved that a pH lies outside what is trusted.")
    paragraph(console, "A predicted pH never replaces a measured one.")


def _cost(one: Compared) -> str:
    return "not known" if one.cost is None else money(one.cost, one.bench.brief.currency)


def _range(one: Compared) -> str:
    return "–" if one.ph is None else f"{one.ph.low:.2f} to {one.ph.high:.2f}"


def _show_rows(
    console: "Console", title: str, found: SideBySide, rows: Sequence[Across], *, whole: bool
) -> None:
    heading(console, title)
    made = table(*_columns(found, ""), right=_right(found))
    for row in rows:
        if whole or not row.alike:
            made.add_row(row.name, *(share(one) if one else "–" for one in row.shares))
    alike = sum(row.alike for row in rows)
    if alike < len(rows) or whole:
        console.print(made)
    if alike and not whole:
        paragraph(console, f"Alike in all: {alike} of {len(rows)}.")


def _show_rules(console: "Console", found: SideBySide, *, whole: bool) -> None:
    heading(console, "Rules")
    made = table(*_columns(found, ""), right=_right(found))
    alike = 0
    for rule in found.rules:
        cells = tuple(_verdict_cell(one.verdict(rule)) for one in found.bars)
        if whole or len(set(cells)) > 1:
            made.add_row(rule, *cells)
        else:
            alike += 1
    console.print(made)
    if alike:
        paragraph(console, f"Alike in all: {alike} of {len(found.rules)}.")


def _verdict_cell(verdict: Verdict | None) -> str:
    if verdict is None:
        return "no such rule"
    if not isinstance(verdict.rule, Limited) or verdict.value is None:
        return "kept" if verdict.kept else "broken"
    said = measured(verdict.rule, verdict.value)
    return said if verdict.kept else f"{said} broken"


def _show_labels(console: "Console", found: SideBySide) -> None:
    markets = dict.fromkeys(market for one in found.bars for market in one.ingredients)
    for market in markets:
        heading(console, f"Ingredients, {market}")
        texts = [one.ingredients.get(market, "not sold there") for one in found.bars]
        if len(set(texts)) == 1:
            paragraph(console, f"Alike in all. {texts[0]}")
            continue
        for letter, text in zip(_letters(found), texts, strict=True):
            paragraph(console, f"{letter}: {text}")
