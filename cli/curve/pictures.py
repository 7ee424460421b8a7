"""A curve as a picture: the least cost along a limit or a price."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...constraints.values.units import scale_of
from ..picture.lines import Graph, Mark
from .axis import Axis

if TYPE_CHECKING:
    from ...solver.prices.course import Course


def curve_picture(bench: Bench, axis: Axis, course: "Course") -> Graph | None:
    """The cost along an axis with today marked; ``None`` where there is nothing to draw."""
    if not course.points:
        return None
    scale, currency = scale_of(axis.unit), bench.brief.currency
    low, high = course.points[0], course.points[-1]
    at, cost = course.now
    there = low[0] <= at <= high[0]
    marks = (Mark("today", (at * scale, cost)),) if there else ()
    said = (
        f"The least cost along the {axis.label}: {low[1]:.3f} {currency}/kg at {axis.said(low[0])},"
        f" {high[1]:.3f} at {axis.said(high[0])}; today {cost:.3f} at {axis.said(at)}."
    )
    return Graph(
        title=f"Cost along the {axis.label}",
        said=said,
        across=f"{axis.label} [{axis.unit}]" if axis.unit else axis.label,
        up=f"{currency}/kg of mix",
        points=tuple((place * scale, value) for place, value in course.points),
        marks=marks,
        told=tuple((axis.said(place), f"{value:.4f}") for place, value in course.points),
    )
