"""The least cost as a function of one limit or one price, in one call."""

from dataclasses import dataclass

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Limited
from ...constraints.values.names import the_name
from ...constraints.values.number import numbers_in
from ...constraints.values.problem import CheckFailedError, Where, refuse
from ...constraints.values.told import Told
from ...constraints.values.units import scale_of
from ..cheapest.cheapest import Finding, Refusal, cheapest
from ..prices.course import Course, is_plain, is_unused, over_grid, over_limit, over_price
from ..program.deadline import NEVER, Deadline

GRID = 21
"""Places at which the cost is asked for where it does not run in straight pieces."""

UNPRICED_TO = 10.0
"""Where the price of what costs nothing is followed to [money/kg]."""

End = str | float | None


@dataclass(frozen=True, slots=True, repr=False)
class Curve(Told):
    """How the least cost moves.

    Args:
        about: the rule or the material.
        side: which limit moves, "low" or "high"; ``None`` for a price.
        unit: in which the maker writes it.
        interval: from where to where, in the canonical unit.
        course: places and costs.
    """

    about: str
    side: str | None
    unit: str
    interval: tuple[float, float]
    course: Course


def limit_followed(
    bench: Bench,
    limit: str,
    side: str | None = None,
    start: End = None,
    end: End = None,
    *,
    deadline: Deadline = NEVER,
) -> Curve | Refusal:
    """Follow the least cost along one limit of a rule.

    Args:
        bench: shelf and rules.
        limit: the rule, by its name or an unambiguous part of it.
        side: "low" or "high"; without it the only limit, or the one the composition stands at.
        start: where to begin: in the rule's unit as text, or in the canonical unit as a number.
        end: where to end, alike.
        deadline: when to give up.

    Raises:
        InputError: when there is no such limit, or nothing to follow.
        CheckFailedError: when the exact cost could not be followed.
    """
    rule = _rule(bench, limit)
    finding = cheapest(bench, deadline)
    if isinstance(finding, Refusal):
        return finding
    side = _side(finding, rule, side)
    interval = _interval((start, end), rule.unit, rule.around(side))
    if is_plain(finding, rule, side):
        course = _sure(over_limit(bench, finding, rule, side, interval, deadline=deadline))
    else:
        low, high = interval
        places = [low + (high - low) * step / (GRID - 1) for step in range(GRID)]
        course = over_grid(bench, finding, rule, side, places, deadline=deadline)
    return Curve(rule.id, side, rule.unit, interval, course)


def price_followed(
    bench: Bench, material: str, start: End = None, end: End = None, *, deadline: Deadline = NEVER
) -> Curve | Refusal:
    """Follow the least cost along the price of one material of the shelf.

    Args:
        bench: shelf and rules.
        material: by its name or an unambiguous part of it.
        start: where to begin, as "9.50 EUR/kg" or in money for a kilogram.
        end: where to end, alike.
        deadline: when to give up.

    Raises:
        InputError: when there is no such material.
        CheckFailedError: when the exact cost could not be followed.
    """
    names = (item.material.name for item in bench.shelf)
    name = the_name(Where("--price"), material, names, "a material on the shelf")
    finding = cheapest(bench, deadline)
    if isinstance(finding, Refusal):
        return finding
    unit = f"{bench.brief.currency}/kg"
    usual = (0.0, 2.0 * bench.item(name).price or UNPRICED_TO)
    interval = _interval((start, end), unit, usual)
    course = _sure(over_price(bench, finding, name, interval, deadline=deadline))
    return Curve(name, None, unit, interval, course)


def _sure(course: object) -> Course:
    """A course, or our failure where the exact optimum was not reached."""
    if isinstance(course, Course):
        return course
    message = f"the exact cost could not be followed: {getattr(course, 'reason', course)}"
    raise CheckFailedError(message)


def _interval(ends: tuple[End, End], unit: str, usual: tuple[float, float]) -> tuple[float, float]:
    start = usual[0] if ends[0] is None else _value(ends[0], unit, "--from")
    end = usual[1] if ends[1] is None else _value(ends[1], unit, "--to")
    if not 0 <= start < end:
        refuse("--from and --to", f"{start:g} to {end:g}", "a start at or above 0 below the end")
    return start, end


def _value(given: str | float, unit: str, option: str) -> float:
    if isinstance(given, int | float):
        return float(given)
    return limit_figure(given, unit, option)


def limit_figure(given: str, unit: str, option: str) -> float:
    """A figure as a maker writes it for a limit or a price, in the canonical unit.

    Args:
        given: with its unit or bare.
        unit: of the limit.
        option: that it stands behind.

    Raises:
        InputError: when it is no figure in that unit.
    """
    bare = given.strip().removeprefix("pH").removesuffix(unit).strip()
    figures = numbers_in(bare)
    if len(figures) != 1:
        refuse(option, given, f"a figure in {unit or 'plain numbers'}")
    return figures[0] / scale_of(unit)


def _rule(bench: Bench, text: str) -> Limited:
    rules = {rule.id: rule for rule in bench.brief.rules}
    rule = rules[the_name(Where("--limit"), text, rules, "a rule of the brief")]
    if not isinstance(rule, Limited) or not rule.limits():
        refuse("--limit", rule.id, "a rule with a figure to move; `cheapest` tells choices apart")
    return rule


def _side(finding: Finding, rule: Limited, asked: str | None) -> str:
    """The limit asked for; else the only one, else the one that the composition stands at."""
    there = list(rule.limits())
    if is_unused(finding, rule):
        refuse("--limit", f"{rule.id}, of a material left out", "the dose of one that is used")
    if asked is not None and asked not in there:
        refuse("--side", f"no {asked} limit", f"{there[0]}, the only limit of {rule.id}")
    if asked is not None:
        return asked
    standing = [price.side for price in finding.prices if price.rule == rule.id]
    if len(there) == 1 or standing:
        return (standing or there)[0]
    return refuse("--side", f"two limits of {rule.id}", "--side low or --side high")
