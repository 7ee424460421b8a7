"""The box in one screen, for one market."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.verdict import Verdict
from ...workshop.label.lines import Label
from ..finding.beware import looked
from ..kit.one_screen import sentences, show_parts
from ..kit.words import bar_name
from .words import broken_sentence, checks, law_warnings

if TYPE_CHECKING:
    from rich.console import Console


DRAFT = (
    "A draft, not a clearance: a qualified assessor and the law of the market come before a sale."
)


def show_short_label(
    console: "Console",
    bench: Bench,
    composition: Composition,
    labels: Sequence[Label],
    broken: Sequence[Verdict],
) -> None:
    """The ingredients, what is to fill in, and what to check, for the first market."""
    label = labels[0]
    more = [one.market for one in labels[1:]]
    warning = broken_sentence(broken)
    head = [f"{bar_name(bench, composition.name)}: the box for {label.market}"]
    tell = [*([warning] if warning else []), *law_warnings(label), *checks(bench, label)]
    parts = (
        sentences("", (*head, *looked(bench, composition))),
        sentences("", (label.text,)),
        sentences("Also on the box", _particulars(label)),
        sentences("Check before printing", tell),
        sentences("Beware", (DRAFT,)),
    )
    other = f" Other markets: --market {' or '.join(more)}." if more else ""
    show_parts(console, parts, f"--all: where each stands and why, notes and sources.{other}")


def _particulars(label: Label) -> Iterator[str]:
    filled = [(what, text) for what, text in label.particulars if text and text != label.text]
    empty = [what.partition(" (")[0] for what, text in label.particulars if not text]
    if empty:
        yield f"Yours to fill in: {'; '.join(empty)}."
    for what, text in filled:
        if label.text not in text:
            yield f"{what}: {text}"
