"""``barwright curve``: how the cost moves with one limit or one price."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import Bench
from ...constraints.values.problem import refuse
from ..kit.answer import answered
from ..kit.exit import Exit
from ..kit.opening import bench_in
from ..kit.options import All, BenchPath, Format, LinesToo
from ..kit.page_option import refuse_without_library
from ..kit.patience import patience
from ..kit.time_limit import command_deadline
from .axis import Axis

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.prices.course import Course


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
    shown: Annotated[LinesToo, typer.Option("--format", help="How to show it.")] = LinesToo.TABLE,
    svg: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also draw it as a picture.")
    ] = None,
    everything: All = False,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Let --svg replace a file that is there.")
    ] = False,
) -> None:
    """Show the least cost as a function of one limit or one price of BENCH."""
    from ...solver.answers.curve import limit_followed, price_followed
    from ...solver.cheapest.cheapest import Refusal
    from ..refusal.leaving import leave_without_answer

    if (limit is None) == (price is None):
        refuse("the command line", "both or neither of --limit and --price", "one of them")
    if svg is not None:
        refuse_without_library("--svg")
    as_format = Format.JSON if shown is LinesToo.JSON else Format.TABLE
    deadline = command_deadline()
    bench = bench_in(bench_path, shown, judged=True)
    with patience("following the cost"):
        found = (
            price_followed(bench, price or "", start, end, deadline=deadline)
            if limit is None
            else limit_followed(bench, limit, side and side.value, start, end, deadline=deadline)
        )
    if isinstance(found, Refusal):
        leave_without_answer(
            bench, found, as_format, command="curve", whole=everything, deadline=deadline
        )
    axis = Axis.of(found)
    if svg is not None:
        _draw(bench, axis, found.course, svg, overwrite=overwrite)
    _show(bench, axis, found.course, shown, whole=everything)
    if not found.course.points:
        raise typer.Exit(Exit.NO_COMPOSITION)


def _draw(bench: Bench, axis: Axis, course: "Course", path: Path, *, overwrite: bool) -> None:
    """Write the picture alone; where there is nothing to draw the answer has said so."""
    from ..kit.writing import put
    from ..picture.canvas import svg_alone
    from .pictures import curve_picture

    picture = curve_picture(bench, axis, course)
    if picture is not None:
        put(path, svg_alone(picture), overwrite=overwrite)


def _show(bench: Bench, axis: Axis, course: "Course", shown: LinesToo, *, whole: bool) -> None:
    from .as_json import curve_csv, curve_form

    def view(console: "Console", whole: bool) -> None:
        from .short import show_short_curve
        from .view import show_curve

        (show_curve if whole else show_short_curve)(console, bench, axis, course)

    answered(
        "curve",
        shown,
        lambda: curve_form(bench, axis, course),
        view,
        whole=whole,
        lines=lambda: curve_csv(bench, axis, course),
    )
