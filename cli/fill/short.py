"""The fill weight in one screen."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...workshop.fill.fill import Fill
from ..kit.one_screen import columns, sentences, show_parts
from .view import DEMANDS, fill_sentences, flat_sentences, in_grams

if TYPE_CHECKING:
    from rich.console import Console


def show_short_fill(console: "Console", bench: Bench, found: Fill, bars_a_year: int | None) -> None:
    """What to press, which demand decides it, and what a flat margin would cost."""
    cells = [
        (DEMANDS[demand], in_grams(mass), "decides" if demand is found.binding else "")
        for demand, mass in found.needed.items()
    ]
    head = list(fill_sentences(bench, found))
    parts = (
        sentences("", head, least=len(head)),
        columns("Press at least, so that", cells, right=(1,)),
        sentences("Against a flat margin", flat_sentences(bench, found, bars_a_year)),
        sentences("Beware", (found.caution,)),
    )
    show_parts(console, parts, "--all: the text it rests on.")
