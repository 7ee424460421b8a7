"""The box on the screen and as JSON."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.verdict import Verdict
from ...workshop.label.lines import Label
from ..finding.view import show_second_look
from ..kit.notices import noticed
from ..kit.numbers import share
from ..kit.screen import boxed, heading, paragraph, table
from ..kit.words import bar_name
from .words import DOUBTS, GROUPS, broken_sentence, checks, law_warnings, replaced_sentence

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table


def show_label(
    console: "Console",
    bench: Bench,
    composition: Composition,
    label: Label,
    broken: tuple[Verdict, ...],
) -> None:
    """The whole answer of ``label`` for one market."""
    paragraph(console, f"{bar_name(bench, composition.name)}: the box for {label.market}")
    warning = broken_sentence(broken)
    if warning:
        console.print()
        paragraph(console, warning)
    show_second_look(console, bench, composition)
    _show_print(console, label)
    heading(console, "Where each stands, and why")
    console.print(_ingredient_table(label))
    _show_list(console, "Check before printing", list(checks(bench, label)))
    _show_list(console, "What the law says of what is inside", list(map(noticed, label.notices)))
    _show_ties(console, label)
    heading(console, "What this does not replace")
    for text in (replaced_sentence(label), label.no_claims, label.caution):
        paragraph(console, text)
    _show_list(console, "Notes", list(label.notes))
    _show_list(console, "Sources", [f"{one.citation} ({one.kind})" for one in label.sources])


def _show_print(console: "Console", label: Label) -> None:
    heading(console, "What has to stand on the box")
    boxed(console, label.particulars)
    _show_list(console, "Warnings the law fixes", list(law_warnings(label)))


def _show_list(console: "Console", title: str, lines: list[str]) -> None:
    if not lines:
        return
    heading(console, title)
    for line in lines:
        paragraph(console, f"- {line}", hang=2)


def _show_ties(console: "Console", label: Label) -> None:
    if not label.near_ties:
        return
    heading(console, "Neighbours that may stand the other way round")
    made = table("first", "second", "apart", "hangs on", right=(2,))
    for tie in label.near_ties:
        apart = "none" if tie.apart == 0 else share(tie.apart)
        made.add_row(tie.first, tie.second, apart, DOUBTS[tie.doubt])
    console.print(made)


def _ingredient_table(label: Label) -> "Table":
    made = table("ingredient", "of the mix", "range", right=(1, 2))
    last = None
    for one in label.ingredients:
        if one.group is not last:
            if last is not None:
                made.add_section()
            made.add_row(f"— {GROUPS[one.group]} —")
            last = one.group
        named = f"{one.name} (allergen, entry {one.entry})" if one.entry else one.name
        made.add_row(named, share(one.share.typical), _range(one.share.low, one.share.high))
    return made


def _range(low: float, high: float) -> str:
    return "" if share(low) == share(high) else f"{share(low)[:-2]}–{share(high)}"
