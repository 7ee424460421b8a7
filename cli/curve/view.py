"""A curve on the screen: its corners as a table, and a plot."""

from itertools import pairwise
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...constraints.values.units import scale_of
from ...solver.prices.course import Course
from ..kit.numbers import money
from ..kit.plot import Series, plot
from ..kit.screen import paragraph, picture, table
from .axis import Axis
from .pictures import curve_picture
from .words import (
    choice_sentences,
    course_sentence,
    ends_sentence,
    nothing_sentence,
    slope_cell,
    step_head,
)

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

CUT_SHORT = "Time ran out: not all of it was followed, nor every other choice tried."

HEIGHT = 18
MOST_WIDTH = 80


def show_curve(console: "Console", bench: Bench, axis: Axis, course: Course) -> None:
    """Corners, plot, and what they rest on."""
    now = money(course.now[1], bench.brief.currency)
    paragraph(console, f"{bench.brief.name}: cost along the {axis.label}")
    paragraph(console, f"Today it stands at {axis.said(course.now[0])}, with {now} of mix.")
    if not course.points:
        paragraph(console, CUT_SHORT if course.undone else nothing_sentence(axis))
        return
    console.print()
    console.print(_table(bench, axis, course))
    console.print()
    plotted = _plotted(bench, axis, course, min(console.width, MOST_WIDTH))
    picture(console, lambda: curve_picture(bench, axis, course), plotted)
    console.print()
    acid = any(rule.dispersed for rule in bench.brief.rules)
    ends = CUT_SHORT if course.undone else ends_sentence(axis, course)
    said = [course_sentence(course, acid=acid), ends]
    for sentence in [*said, *choice_sentences(axis, course)]:
        if sentence:
            paragraph(console, sentence)


def _table(bench: Bench, axis: Axis, course: Course) -> "Table":
    cost = f"cost, {bench.brief.currency}/kg"
    made = table(axis.kind, cost, step_head(axis), right=(0, 1, 2))
    slopes = [slope_cell(axis, one, other) for one, other in pairwise(course.points)]
    for (at, value), slope in zip(course.points, [*slopes, ""], strict=True):
        made.add_row(axis.said(at), f"{value:.4f}", slope)
    return made


def _plotted(bench: Bench, axis: Axis, course: Course, width: int) -> list[str]:
    scale = scale_of(axis.unit)
    points = [(at * scale, cost) for at, cost in course.points]
    at, cost = course.now
    series = [Series("·", points), Series("o", points, joined=False)]
    if course.points[0][0] <= at <= course.points[-1][0]:
        series.append(Series("X", [(at * scale, cost)], joined=False))
    x_label = f"{axis.label} [{axis.unit}]" if axis.unit else axis.label
    drawn = plot(series, width, HEIGHT, _short(x_label, width), f"{bench.brief.currency}/kg of mix")
    return [*drawn, "o a corner, X today"]


def _short(text: str, width: int) -> str:
    return text if len(text) <= width else f"{text[: width - 1]}…"
