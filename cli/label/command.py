"""``barwright label``: what goes on the box."""

from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.problem import sound
from ...constraints.values.units import Dimension
from ..kit.answer import answered
from ..kit.options import BenchPath, Format, FormulaPath, Shown
from ..kit.portion import Market, asked, markets_of

if TYPE_CHECKING:
    from rich.console import Console


def command(
    bench_path: BenchPath,
    formula_path: FormulaPath,
    *,
    market: Market = None,
    mix: Annotated[
        str | None,
        typer.Option(
            "--mix",
            metavar="MASS",
            help='Mass of a batch, such as "750 g": shows which order hangs on a scale step.',
        ),
    ] = None,
    shown: Shown = Format.TABLE,
) -> None:
    """Write the ingredient list of FORMULA and the rest of the box, for each market of BENCH."""
    from ...constraints.bench.opening import read_bench, read_formula
    from ...constraints.market.labelling import markets_with_labelling
    from ...constraints.rules.judging import judge
    from ...workshop.label.label import label

    bench = read_bench(bench_path)
    composition = read_formula(formula_path, bench)
    mass = asked(mix, Dimension.MASS, "--mix", bench)
    markets = markets_of(bench, market, markets_with_labelling())
    labels = tuple(sound(label(bench, composition, one, mix=mass)) for one in markets)
    broken = tuple(verdict for verdict in judge(bench, composition) if not verdict.kept)
    from .as_json import labels_form
    from .view import show_label

    def view(console: "Console") -> None:
        for made in labels:
            show_label(console, bench, composition, made, broken)

    answered("label", shown, lambda: labels_form(bench, composition, labels, broken), view)
