"""``barwright check``: does a composition keep the rules?"""

from typing import TYPE_CHECKING

import typer

from ..kit.answer import answered
from ..kit.exit import Exit
from ..kit.opening import bench_in
from ..kit.options import All, BenchPath, Format, FormulaPath, Shown
from ..sureness.knowing import BookAsked, ReadingsAsked, knowing

if TYPE_CHECKING:
    from rich.console import Console


def command(
    bench_path: BenchPath,
    formula_path: FormulaPath,
    *,
    readings: ReadingsAsked = None,
    book: BookAsked = None,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Judge a FORMULA by every rule of BENCH: kept, broken or not sure, and by how much."""
    from ...constraints.bench.opening import read_formula
    from ...constraints.rules.judging import judge
    from .as_json import judgement_form
    from .short import show_short_judgement
    from .view import show_judgement

    read = knowing(bench_in(bench_path, shown, judged=True), readings or (), book)
    bench = read.bench
    composition = read_formula(formula_path, bench)
    verdicts = judge(bench, composition)

    def view(console: "Console", whole: bool) -> None:
        show = show_judgement if whole else show_short_judgement
        show(console, read, composition, verdicts)

    answered(
        "check",
        shown,
        lambda: judgement_form(read, composition, verdicts),
        view,
        whole=everything,
    )
    if not all(verdict.kept for verdict in verdicts):
        raise typer.Exit(Exit.RULE_BROKEN)
