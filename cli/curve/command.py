"""``barwright curve``: how the cost moves with one limit or one price."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Limited
from ...constraints.values.names import the_name
from ...constraints.values.problem import Where, refuse
from ..kit.exit import Exit
from ..kit.options import BenchPath, Format
from ..kit.patience import patience

if TYPE_CHECKING:
    from ...solver.cheapest.cheapest import Finding
    from ...solver.prices.course import Course
    from .axis import Axis

GRID = 21


class CurveFormat(StrEnum):
    """How a curve is shown."""

    TABLE = "table"
    JSON = "json"
    CSV = "csv"


class Limit(StrEnum):
    """Which limit of a rule moves."""

    LOW = "low"
    HIGH = "high"


def command(
    bench_path: BenchPath,
    *,
    limit: Annotated[
        str | None, typer.Option(metavar="RULE", help="The rule whose limit moves.")
    ] = None,
    price: Annotated[
        str | None, typer.Option(metavar="MATERIAL", help="The material whose price moves.")
    ] = None,
    side: Annotated[Limit | None, typer.Option(help="Which limit, where a rule has two.")] = None,
    start: Annotated[
        str | None, typer.Option("--from", metavar="VALUE", help="Where to begin.")
    ] = None,
    end: Annotated[str | None, typer.Option("--to", metavar="VALUE", help="Where to end.")] = None,
    shown: Annotated[
        CurveFormat, typer.Option("--format", help="How to show it.")
    ] = CurveFormat.TABLE,
    svg: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also draw it as a picture.")
    ] = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Let --svg replace a file that is there.")
    ] = False,
) -> None:
    """Show the least cost as a function of one limit or one price of BENCH."""
    from ...constraints.bench.opening import read_bench
    from ...solver.cheapest.cheapest import Refusal, cheapest
    from ..refusal.leaving import leave_without_answer

    if (limit is None) == (price is None):
        refuse("the command line", "both or neither of --limit and --price", "one of them")
    as_format = Format.JSON if shown is CurveFormat.JSON else Format.TABLE
    bench = read_bench(bench_path)
    rule = None if limit is None else _rule(bench, limit)
    material = None if price is None else _material(bench, price)
    with patience("following the cost"):
        found = cheapest(bench)
        if isinstance(found, Refusal):
            leave_without_answer(bench, found, as_format, command="curve")
        axis, course = _followed(bench, found, (rule, material), side, (start, end))
    _show(bench, axis, course, shown)
    if svg is not None:
        from ..kit.writing import put
        from .svg import drawn

        put(svg, drawn(bench, axis, course), overwrite=overwrite)
    if not course.points:
        raise typer.Exit(Exit.NO_COMPOSITION)


def _followed(
    bench: Bench,
    finding: "Finding",
    about: tuple[Limited | None, str | None],
    side: Limit | None,
    ends: tuple[str | None, str | None],
) -> "tuple[Axis, Course]":
    from ...solver.prices.course import over_price
    from .axis import Axis

    rule, material = about
    if rule is not None:
        return _along_limit(bench, finding, rule, _side(finding, rule, side), ends)
    name = material or ""
    unit = f"{bench.brief.currency}/kg"
    standing = bench.item(name).price
    interval = _interval(ends, unit, (0.0, 2.0 * standing or 10.0))
    course = over_price(bench, finding, name, interval)
    return Axis(f"price of {name}", unit, "price", name, None, interval), _sure(course)


def _along_limit(
    bench: Bench,
    finding: "Finding",
    rule: Limited,
    side: str,
    ends: tuple[str | None, str | None],
) -> "tuple[Axis, Course]":
    from ...solver.prices.course import is_plain, over_grid, over_limit
    from .axis import Axis

    unit = rule.unit
    interval = _interval(ends, unit, rule.around(side))
    word = {"low": "lower limit", "high": "upper limit"}[side]
    axis = Axis(f"{word} of {rule.id}", unit, "limit", rule.id, side, interval)
    if is_plain(finding, rule, side):
        return axis, _sure(over_limit(bench, finding, rule, side, interval))
    low, high = interval
    places = [low + (high - low) * step / (GRID - 1) for step in range(GRID)]
    return axis, over_grid(bench, finding, rule, side, places)


def _sure(course: "object") -> "Course":
    """A course, or our failure where the exact optimum was not reached."""
    from ...solver.prices.course import Course
    from ..kit.screen import complain

    if isinstance(course, Course):
        return course
    complain([f"The exact cost could not be followed: {getattr(course, 'reason', course)}."])
    raise typer.Exit(Exit.OUR_FAILURE)


def _interval(
    ends: tuple[str | None, str | None], unit: str, usual: tuple[float, float]
) -> tuple[float, float]:
    start = usual[0] if ends[0] is None else _value(ends[0], unit, "--from")
    end = usual[1] if ends[1] is None else _value(ends[1], unit, "--to")
    if not 0 <= start < end:
        refuse("--from and --to", f"{start:g} to {end:g}", "a start at or above 0 below the end")
    return start, end


def _value(text: str, unit: str, option: str) -> float:
    from math import isfinite

    from ...constraints.values.units import scale_of

    bare = text.strip().removeprefix("pH").removesuffix(unit).strip()
    try:
        value = float(bare) / scale_of(unit)
    except ValueError:
        value = float("nan")
    if not isfinite(value):
        refuse(option, text, f"a figure in {unit or 'plain numbers'}")
    return value


def _rule(bench: Bench, text: str) -> Limited:
    rules = {rule.id: rule for rule in bench.brief.rules}
    rule = rules[the_name(Where("--limit"), text, rules, "a rule of the brief")]
    if not isinstance(rule, Limited) or not rule.limits():
        refuse("--limit", rule.id, "a rule with a figure to move; `cheapest` tells choices apart")
    return rule


def _material(bench: Bench, text: str) -> str:
    names = (item.material.name for item in bench.shelf)
    return the_name(Where("--price"), text, names, "a material on the shelf")


def _side(finding: "Finding", rule: Limited, asked: Limit | None) -> str:
    """The limit asked for; else the only one, else the one that the composition stands at."""
    from ...solver.prices.course import is_unused

    there = list(rule.limits())
    if is_unused(finding, rule):
        refuse("--limit", f"{rule.id}, of a material left out", "the dose of one that is used")
    if asked is not None and asked.value not in there:
        refuse("--side", f"no {asked.value} limit", f"{there[0]}, the only limit of {rule.id}")
    if asked is not None:
        return asked.value
    standing = [price.side for price in finding.prices if price.rule == rule.id]
    if len(there) == 1 or standing:
        return (standing or there)[0]
    return refuse("--side", f"two limits of {rule.id}", "--side low or --side high")


def _show(bench: Bench, axis: "Axis", course: "Course", shown: CurveFormat) -> None:
    if shown is CurveFormat.TABLE:
        from ..kit.screen import stdout
        from .view import show_curve

        show_curve(stdout(), bench, axis, course)
    elif shown is CurveFormat.CSV:
        from .as_json import curve_csv

        typer.echo(curve_csv(bench, axis, course), nl=False)
    else:
        from ..kit.as_json import dumped
        from .as_json import curve_form

        typer.echo(dumped("curve", curve_form(bench, axis, course)))
