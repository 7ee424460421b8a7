"""``barwright compare``: several bars side by side."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.problem import refuse
from ..kit.answer import answered
from ..kit.opening import remark
from ..kit.options import All, Format, Shown

if TYPE_CHECKING:
    from ...constraints.bench.wish import Start

MOST = 6
"""So many bars still stand beside each other on a screen."""


def command(
    formula_paths: Annotated[
        list[Path],
        typer.Argument(
            metavar="FORMULA...",
            help="Formulas, each in the folder of its bench; today's and last month's.",
            show_default=False,
        ),
    ],
    *,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Set formulas side by side: materials, substances, rules, pH, cost and ingredient list."""
    from ...workshop.changing.side_by_side import side_by_side
    from .as_json import compare_form
    from .view import show_side_by_side

    if not 2 <= len(formula_paths) <= MOST:
        refuse("the command line", f"{len(formula_paths)} formulas", f"2 to {MOST} formulas")
    starts = [_start(path) for path in formula_paths]
    bars = [(start.bench, start.formulas[0]) for start in starts]
    unpriced = {name for start in starts for name in start.unpriced}
    for bench in {id(start.bench.brief): start.bench for start in starts}.values():
        remark(bench, shown, judged=True)
    found = side_by_side(bars, unpriced)
    answered(
        "compare",
        shown,
        lambda: compare_form(found),
        lambda console, whole: show_side_by_side(console, found, whole=whole),
        whole=everything,
    )


def _start(path: Path) -> "Start":
    """A formula with its bench; what is not on the shelf any more stands beside it."""
    from ...constraints.bench.files import bench_folder
    from ...constraints.bench.opening import read_start
    from ...constraints.bench.wish import Wish

    folder = bench_folder(path)
    if folder is None:
        refuse(str(path), "a formula of no bench", "a formula in the folder of its bench")
    return read_start(folder, (path,), Wish())
