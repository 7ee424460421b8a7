"""A curve as data."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...constraints.values.units import scale_of
from ...solver.prices.course import Course

if TYPE_CHECKING:
    from .axis import Axis


def curve_form(bench: Bench, axis: "Axis", course: Course) -> dict[str, object]:
    """A curve as JSON; places in the canonical unit, and in the maker's own beside it."""
    scale = scale_of(axis.unit)
    return {
        "product": bench.brief.name,
        "moved": axis.kind,
        "of": axis.about,
        "side": axis.side,
        "written_in": axis.unit,
        "cost_in": f"{bench.brief.currency} per kg of mix",
        "exact_piecewise_linear": course.exact,
        "from": axis.interval[0],
        "to": axis.interval[1],
        "now": {"at": course.now[0], "as_written": course.now[0] * scale, "cost": course.now[1]},
        "points": [
            {"at": at, "as_written": at * scale, "cost": cost} for at, cost in course.points
        ],
        "choices_held": list(course.choices),
        "another_choice_cheaper_at": list(course.cheaper),
        "undone": course.undone,
    }


def curve_csv(bench: Bench, axis: "Axis", course: Course) -> str:
    """A curve as comma-separated lines: place, unit, cost, currency."""
    scale = scale_of(axis.unit)
    head = f"{axis.kind},unit,cost,currency per kg of mix"
    lines = [
        f"{at * scale:.12g},{axis.unit},{cost:.12g},{bench.brief.currency}"
        for at, cost in course.points
    ]
    return "\n".join([head, *lines, ""])
