"""What is said of a curve."""

from ...solver.prices.course import Course
from ..kit.numbers import in_unit
from .axis import Axis


def course_sentence(course: Course, *, acid: bool) -> str:
    """What kind of curve it is, and what it takes as given."""
    if course.exact:
        given = " pH is counted at today's ionic strength all along." if acid else ""
        return f"Exact: between two lines of the table the cost is straight.{given}"
    count = len(course.points)
    return (
        f"{count} places, each solved on its own, the choice of materials free; in between the"
        " cost bends, for this limit is no plain figure in the sums."
    )


def ends_sentence(axis: Axis, course: Course) -> str:
    """Where the curve ends before the interval does."""
    low, high = course.points[0][0], course.points[-1][0]
    near = 1e-6 * max(abs(axis.interval[0]), abs(axis.interval[1]))
    said = []
    if low > axis.interval[0] + near:
        said.append(f"below {axis.said(low)}")
    if high < axis.interval[1] - near:
        said.append(f"above {axis.said(high)}")
    if not said:
        return ""
    where = "" if course.exact else "at the places "
    return f"Nothing on the shelf keeps the rules {where}{' or '.join(said)}."


def nothing_sentence(axis: Axis) -> str:
    """That there is no composition anywhere on the interval."""
    low, high = (axis.said(end) for end in axis.interval)
    return f"Nothing on the shelf keeps the rules anywhere from {low} to {high}."


FEW = 4
"""Materials of a choice that one screen names."""


def choice_sentences(axis: Axis, course: Course, *, whole: bool = True) -> list[str]:
    """With which choice it holds, and where another would be cheaper.

    Args:
        axis: what moves.
        course: how the cost moves with it.
        whole: whether all materials of the choice are named, however many.
    """
    if not course.choices:
        return []
    if whole or len(course.choices) <= FEW:
        held = [f"All this holds with the choice made today: {'; '.join(course.choices)}."]
    else:
        held = [f"All this holds with today's choice of {len(course.choices)} materials."]
    if course.cheaper:
        places = ", ".join(axis.said(at) for at in course.cheaper)
        held.append(f"Another choice would be cheaper at {places}.")
    else:
        held.append("At none of these places would another choice be cheaper.")
    return held


def slope_cell(axis: Axis, one: tuple[float, float], other: tuple[float, float]) -> str:
    """What each step costs on the way from one point to the next."""
    rate = (other[1] - one[1]) / (other[0] - one[0]) * axis.step
    digits = 3 if abs(rate) >= 0.01 or abs(rate) < 5e-5 else 4
    rounded = round(rate, digits)
    return f"{rounded:+.{digits}f}".replace("-", "−") if rounded else "0"


def step_head(axis: Axis) -> str:
    """The head over what a step costs."""
    return f"each {in_unit(axis.step, axis.unit).removeprefix('pH ')} beyond"
