"""A changed formula in one screen: what to weigh instead, what it costs, what is due again."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from ...solver.nearest.distance import TOUCHED
from ...workshop.changing.comparison import Change, Comparison
from ..finding.beware import beware, looked
from ..kit.numbers import share
from ..kit.one_screen import Part, columns, sentences, shortened_all, show_parts
from ..kit.words import bar_name
from .words import (
    absent_sentences,
    arriving_sentence,
    cost_sentence,
    exchange_sentences,
    forced_sentences,
    instead_sentences,
    points,
    recipe_sentence,
    undone_sentence,
    unused_sentence,
)

if TYPE_CHECKING:
    from rich.console import Console

    from ...workshop.changing.replacing import Replacement

NAME = 46
DUE_AGAIN = "A changed formula needs a new safety assessment before it is sold."
REST = "--all: both bars side by side, by material, class, substance and rule."


def show_short_replacement(console: "Console", answer: "Replacement") -> None:
    """What changes, what it costs, what stood in the way, and what to do again."""
    bench, comparison = answer.start.bench, answer.comparison
    currency = bench.brief.currency
    unused = [unused_sentence(bench, answer.near, name, other) for name, other in answer.unused]
    recipe = recipe_sentence(comparison.materials)
    undone = sentences("", (undone_sentence(answer.undone),) if answer.undone else ())
    if not answer.near.touched:
        bar = bar_name(bench, comparison.before.name, ": ")
        head = (f"{bar} can stay as it is.", *absent_sentences(answer))
        show_parts(console, (sentences("", head), sentences("", unused), undone), REST)
        return
    ways = (one.replace(" by substance", "") for one in exchange_sentences(answer, currency))
    unused = [one.replace(" by class", "").replace(" by substance", "") for one in unused]
    said = (recipe, *forced_sentences(answer), cost_sentence(comparison, currency), *ways)
    instead = (one.replace(" by substance", "") for one in instead_sentences(answer, currency))
    arriving = (arriving_sentence(comparison.arriving),) if comparison.arriving else ()
    made = answer.near.composition
    look, warnings = tuple(looked(bench, made)), (*arriving, *beware(bench, made, said=True))
    parts = (
        sentences("", (f"{bar_name(bench, comparison.before.name, ': ')}, changed",)),
        sentences("Look first", look, least=len(look)),
        changes_part("Change", comparison.materials),
        sentences("", (*said, *instead, *absent_sentences(answer), *unused), least=2),
        undone,
        due_part(comparison),
        sentences("Beware", (DUE_AGAIN, *warnings), least=2 + len(arriving)),
    )
    show_parts(console, parts, REST)


def changes_part(title: str, changes: Sequence[Change]) -> Part:
    """The materials that change, with their shares before and after."""
    moved = sorted((one for one in changes if abs(one.by) > TOUCHED), key=lambda one: -abs(one.by))
    short = shortened_all([one.name for one in moved], NAME)
    cells = [
        (short[one.name], _cell(one.before), "→", _cell(one.after), f"({points(one.by)})")
        for one in moved
    ]
    return columns(title, cells, right=(1, 3, 4), least=2)


def _cell(value: float) -> str:
    return share(value) if value > TOUCHED else "none"


def due_part(comparison: Comparison) -> Part:
    """What has to be done again, by name."""
    return sentences("To do again", _due(comparison))


def _due(comparison: Comparison) -> Iterator[str]:
    names = [due.what.value for due in comparison.due]
    if names:
        yield f"{', '.join(names)}."
