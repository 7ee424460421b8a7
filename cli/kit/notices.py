"""What the law says beside the rules: in words and as JSON."""

from typing import TYPE_CHECKING

from ...constraints.market.notice import Notice, touching
from ...constraints.model.brief import Bench, Composition
from .screen import paragraph

if TYPE_CHECKING:
    from rich.console import Console


def noticed(notice: Notice) -> str:
    """A condition of law or a change to come, with its dates."""
    dates = [
        f"from {notice.placing} for what is placed on the market" if notice.placing else "",
        f"from {notice.available} for what is still on sale" if notice.available else "",
    ]
    said = ", ".join(filter(None, dates))
    to_come = f" To come {said or 'on a day not known here'}." if notice.pending else ""
    return f"{notice.market}, {notice.name}: {notice.text}{to_come} ({notice.source.citation})"


def pending_changes(bench: Bench, composition: Composition) -> tuple[Notice, ...]:
    """Changes to come in the markets of the brief that touch a composition."""
    return tuple(
        one
        for market in bench.brief.markets
        for one in touching(bench, composition, market)
        if one.pending
    )


def show_changes_to_come(console: "Console", bench: Bench, composition: Composition) -> None:
    """Changes of the law to come that touch a composition; nothing where there are none."""
    for one in pending_changes(bench, composition):
        console.print()
        paragraph(console, noticed(one))


def notice_form(notice: Notice) -> dict[str, object]:
    """A notice as JSON."""
    return {
        "market": notice.market,
        "about": notice.name,
        "pending": notice.pending,
        "placing": notice.placing or None,
        "available": notice.available or None,
        "text": notice.text,
        "citation": notice.source.citation,
    }
