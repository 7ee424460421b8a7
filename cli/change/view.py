"""A changed formula on the screen: what to weigh, what it then is and costs, what is due again."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...constraints.model.rule import Limited
from ...solver.nearest.distance import TOUCHED, Stage
from ...workshop.changing.comparison import Change, Comparison
from ..finding.pictures import rules_picture
from ..finding.view import show_second_look
from ..kit.notices import show_changes_to_come
from ..kit.numbers import limits, measured, share
from ..kit.plot import Series, plot
from ..kit.screen import heading, paragraph, picture, table
from ..kit.words import bar_name, room_cell
from .pictures import acidity_picture, changes_picture, corners_picture
from .words import (
    CAUTION,
    absent_sentences,
    advice_sentence,
    arriving_sentence,
    change_sentences,
    due_sentence,
    exchange_sentences,
    forced_sentences,
    in_the_way_sentence,
    instead_sentences,
    listed,
    opening,
    points,
    undone_sentence,
    unused_sentence,
)

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from ...constraints.model.verdict import Verdict
    from ...solver.nearest.candidates import Search
    from ...solver.nearest.frontier import Corner
    from ...solver.program.deadline import Deadline
    from ...workshop.changing.replacing import NoReplacement, Replacement

PLOT_WIDTH, PLOT_HEIGHT = 72, 18

LITTLE = 5e-4
"""Corners nearer to the last one shown than this are left to the JSON output [kg/kg]."""


WORTH_A_LINE = 5e-3
"""Part of the cost that has to be saved for a corner close to the last one to be shown."""


def show_replacement(console: "Console", answer: "Replacement") -> None:
    """The whole answer of ``replace``."""
    bench, comparison = answer.start.bench, answer.comparison
    currency = bench.brief.currency
    paragraph(console, f"{bar_name(bench, comparison.before.name, ': ')}, changed")
    paragraph(console, opening(answer))
    show_second_look(console, bench, answer.near.composition)
    if answer.near.touched:
        _show_change(console, answer)
    else:
        _show_unused(console, answer)
    if answer.corners is not None:
        show_corners(console, answer.corners, currency)
    if answer.search is not None:
        show_search(console, answer.search, currency)
    if answer.undone:
        paragraph(console, undone_sentence(answer.undone))


def _show_change(console: "Console", answer: "Replacement") -> None:
    """What changed, what stands in the way of less, and both bars side by side."""
    bench, comparison = answer.start.bench, answer.comparison
    currency = bench.brief.currency
    heading(console, "What changed")
    paragraph(console, " ".join(change_sentences(bench, comparison)))
    for sentence in (*forced_sentences(answer), *exchange_sentences(answer, currency)):
        paragraph(console, sentence)
    for sentence in instead_sentences(answer, currency):
        paragraph(console, sentence)
    _show_unused(console, answer)
    show_comparison(console, comparison, currency, answer.start.ruled_out)
    picture(console, lambda: acidity_picture(bench, comparison))
    if comparison.arriving:
        paragraph(console, arriving_sentence(comparison.arriving))
    for name in comparison.beyond_advice:
        paragraph(console, advice_sentence(bench, name, comparison.after.parts[name]))
    show_changes_to_come(console, bench, comparison.after)
    show_due(console, comparison)


def _show_unused(console: "Console", answer: "Replacement") -> None:
    for sentence in absent_sentences(answer):
        paragraph(console, sentence)
    for name, other in answer.unused:
        paragraph(console, unused_sentence(answer.start.bench, answer.near, name, other))


def show_comparison(
    console: "Console", comparison: Comparison, currency: str, asked: Sequence[str] = ()
) -> None:
    """Before and after, side by side: materials, classes, substances, figures, rules.

    Rules that were only asked for on the command line are left out.
    """
    heading(console, "Before and after")
    console.print(_changes_table("material", _by_after(comparison.materials)))
    console.print(_changes_table("class", comparison.classes))
    _draw_changes(console, comparison)
    moved = [one for one in comparison.substances if abs(one.by) > TOUCHED]
    if moved:
        console.print(_changes_table("substance", moved))
    stay = len(comparison.substances) - len(moved)
    paragraph(console, f"{stay} substances stay as they are.")
    console.print(_figures_table(comparison, currency))
    heading(console, "Every rule")
    matter = [one for one in comparison.rules if _matters(one) and one[1].rule.id not in asked]
    console.print(rules_table(matter))
    picture(console, lambda: rules_picture([after for _, after in matter]))
    idle = sum(not _matters(one) for one in comparison.rules)
    if idle:
        paragraph(console, f"{idle} more rules speak of materials that neither bar has.")


def _draw_changes(console: "Console", comparison: Comparison) -> None:
    materials = _by_after(comparison.materials)
    touched = [one for one in materials if abs(one.by) > TOUCHED]
    title = "What changes, before and after"
    picture(console, lambda: changes_picture(title, "material", touched))
    title = "What it is made of, before and after"
    picture(console, lambda: changes_picture(title, "material", materials))


def _matters(verdicts: tuple["Verdict", "Verdict"]) -> bool:
    """Whether a rule has anything to say of either bar."""
    return not all(verdict.idle for verdict in verdicts)


def _by_after(changes: Sequence[Change]) -> list[Change]:
    """Those that change first, each lot with the most of the bar first."""
    return sorted(
        changes, key=lambda one: (abs(one.by) <= TOUCHED, -max(one.before, one.after), one.name)
    )


def _changes_table(what: str, changes: Sequence[Change]) -> "Table":
    made = table(what, "before", "after", "change", right=(1, 2, 3))
    for one in changes:
        made.add_row(one.name, _cell(one.before), _cell(one.after), points(one.by))
    return made


def _cell(value: float) -> str:
    return share(value) if value > 0 else "–"


def _figures_table(comparison: Comparison, currency: str) -> "Table":
    made = table("", "before", "after", "change", right=(1, 2, 3))
    before, after = comparison.ph
    made.add_row(
        "predicted pH", f"{before.ph:.2f}", f"{after.ph:.2f}", f"{after.ph - before.ph:+.2f}"
    )
    made.add_row(f"mix [{currency}/kg]", *_money_cells(comparison.cost))
    if comparison.bar is not None:
        made.add_row(f"a bar, materials [{currency}]", *_money_cells(comparison.bar))
    return made


def _money_cells(cost: tuple[float | None, float]) -> tuple[str, str, str]:
    before, after = cost
    if before is None:
        return "not known", f"{after:.3f}", ""
    return f"{before:.3f}", f"{after:.3f}", f"{after - before:+.3f}"


def rules_table(rules: Sequence[tuple["Verdict", "Verdict"]]) -> "Table":
    """Every rule with its value before and after and the room left after."""
    made = table("rule", "limits", "before", "after", "room left", right=(2, 3, 4))
    for before, after in rules:
        rule = after.rule
        said = limits(rule) if isinstance(rule, Limited) else ""
        room = _bare(room_cell(after), rule.unit)
        name = rule.id if before.kept else f"{rule.id} (broken before)"
        made.add_row(name, said, _value(before), _value(after), room)
    return made


def _value(verdict: "Verdict") -> str:
    rule = verdict.rule
    if not isinstance(rule, Limited):
        return "kept" if verdict.kept else "broken"
    if verdict.value is None:
        return "–"
    return _bare(measured(rule, verdict.value), rule.unit)


def _bare(text: str, unit: str) -> str:
    """A figure without a unit that stands beside it under the limits; per cent stay."""
    return text.removeprefix("pH ") if unit in {"pH", "%"} else text.removesuffix(f" {unit}")


def show_due(console: "Console", comparison: Comparison) -> None:
    """What has to be done again, and the caution that goes with every change."""
    heading(console, "To do again")
    for due in comparison.due:
        paragraph(console, due_sentence(due), indent=2)
    paragraph(console, CAUTION)


def show_corners(console: "Console", corners: Sequence["Corner"], currency: str) -> None:
    """What closeness costs, as a table and a plot."""
    heading(console, "What closeness costs")
    paragraph(
        console,
        "Each line is a composition that keeps every rule: nothing on the shelf is both nearer by "
        "substance and cheaper. Between two lines, cost falls in a straight line.",
    )
    shown = _apart(corners)
    changing = len({one.used for one in corners}) > 1
    made = table(
        "changed", f"{currency}/kg", "saved", *(["with"] if changing else []), right=(0, 1, 2)
    )
    for one in shown:
        cells = [share(one.apart), f"{one.cost:.3f}", f"{corners[0].cost - one.cost:.3f}"]
        made.add_row(*cells, *([listed(one.used)] if changing else []))
    console.print(made)
    if len(shown) < len(corners):
        left = len(corners) - len(shown)
        paragraph(console, f"{left} more corners differ from these by next to nothing.")
    if len(corners) > 1:
        marks = [(one.apart * 100, one.cost) for one in corners]
        series = [Series(".", marks), Series("o", marks, joined=False)]
        lines = plot(series, PLOT_WIDTH, PLOT_HEIGHT, "% of the bar changed", f"{currency}/kg")
        picture(console, lambda: corners_picture(corners, currency), lines)


def _apart(corners: Sequence["Corner"]) -> list["Corner"]:
    """The corners that are far enough from the last one to be worth a line, and both ends."""
    shown = [corners[0]]
    for one in corners[1:-1]:
        saved = shown[-1].cost - one.cost
        far = one.apart - shown[-1].apart >= LITTLE or saved >= WORTH_A_LINE * corners[0].cost
        if far and saved >= WORTH_A_LINE / 10 * corners[0].cost:
            shown.append(one)
    return [*shown, corners[-1]] if len(corners) > 1 else shown


def show_no_replacement(
    console: "Console", answer: "NoReplacement", deadline: "Deadline | None" = None, *, whole: bool
) -> None:
    """Nothing on the shelf can do: why, and what to look for."""
    from ...solver.program.deadline import NEVER
    from ..refusal.view import ToldRefusal

    bench = answer.start.bench
    ToldRefusal(bench, answer.refusal, deadline or NEVER).show(console, whole)
    if answer.in_the_way:
        paragraph(console, in_the_way_sentence(answer.in_the_way))
    if answer.search is not None:
        show_search(console, answer.search, bench.brief.currency)


def show_search(console: "Console", search: "Search", currency: str) -> None:
    """Materials of the catalogue, by how near and how dear the best bar with each would be."""
    heading(console, "What to look for, to stay near the formula")
    if search.cut:
        paragraph(console, "Time ran out before all of the catalogue was tried.")
    if not search.best:
        paragraph(console, f"{search.tried} materials of the catalogue were tried; none helps.")
        return
    paragraph(
        console,
        f"{search.tried} materials of the catalogue were tried alone beside the shelf, none beyond "
        "the dose that its suppliers advise. Changed: the share of the bar that is something else "
        "than before. Worth: the price at which the mix would cost what it does today.",
    )
    made = table(
        "material", "dose", "by class", "by subst.", f"worth {currency}/kg", right=(1, 2, 3, 4)
    )
    for one in search.best:
        apart = one.near.changed
        made.add_row(
            one.material,
            share(one.share),
            share(apart[Stage.CLASS]),
            share(apart[Stage.SUBSTANCE]),
            _worth(one.worth),
        )
    console.print(made)


def _worth(worth: float | None) -> str:
    if worth is None:
        return "not known"
    return f"{worth:.2f}" if worth > 0 else "not even free"
