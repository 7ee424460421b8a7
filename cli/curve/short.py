"""A curve in one screen: its corners, without the plot."""

from itertools import pairwise
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...solver.prices.course import Course
from ..kit.numbers import money
from ..kit.one_screen import columns, sentences, show_parts
from .axis import Axis
from .words import choice_sentences, ends_sentence, nothing_sentence, slope_cell, step_head

if TYPE_CHECKING:
    from rich.console import Console


def show_short_curve(console: "Console", bench: Bench, axis: Axis, course: Course) -> None:
    """Where it stands, what each step beyond costs, and what it rests on."""
    now = money(course.now[1], bench.brief.currency)
    head = (
        f"{bench.brief.name}: cost along the {axis.label}",
        f"Today it stands at {axis.said(course.now[0])}, with {now} of mix.",
    )
    if not course.points:
        show_parts(console, (sentences("", (*head, nothing_sentence(axis))),), REST)
        return
    slopes = [slope_cell(axis, one, other) for one, other in pairwise(course.points)]
    cells = [(axis.kind, f"cost, {bench.brief.currency}/kg", step_head(axis))]
    for (at, value), slope in zip(course.points, [*slopes, ""], strict=True):
        cells.append((axis.said(at), f"{value:.4f}", slope))
    said = (ends_sentence(axis, course), *choice_sentences(axis, course, whole=False))
    parts = (
        sentences("", head, least=2),
        columns(
            "Between two lines the cost runs straight" if course.exact else "Place by place",
            cells,
            right=(0, 1, 2),
            least=3,
            headed=True,
        ),
        sentences("It rests on", said),
    )
    show_parts(console, parts, REST)


REST = "--all: the same with a plot; --page FILE draws it."
