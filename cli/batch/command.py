"""``barwright batch``: a sheet for the bench."""

from pathlib import Path
from typing import Annotated

import typer

from ...constraints.values.problem import Problem, Problems
from ...constraints.values.units import Dimension
from ..kit.loading import (
    BenchPath,
    Format,
    FormulaPath,
    Shown,
    bench_or_leave,
    formula_or_leave,
    leave,
)
from ..kit.patience import patience
from ..kit.portion import (
    Bars,
    FillAsked,
    Labour,
    Market,
    Packaging,
    Weighings,
    asked,
    beside,
    portion_or_leave,
)


def command(
    bench_path: BenchPath,
    formula_path: FormulaPath,
    *,
    bars: Bars,
    fill: FillAsked = None,
    market: Market = None,
    weighings: Weighings = None,
    heat_to: Annotated[
        str | None,
        typer.Option(
            metavar="TEMPERATURE",
            help='Heat water and melt to this, such as "75 degC"; else just above melting.',
        ),
    ] = None,
    packaging: Packaging = None,
    labour: Labour = None,
    html: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also write the sheet as a page to print.")
    ] = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Let --html replace a file that is there.")
    ] = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Weigh out N bars of FORMULA: phases, scale readings, temperatures, portions, cautions."""
    from ...workshop.batch.batch import Batch, batch

    bench = bench_or_leave(bench_path, shown)
    composition = formula_or_leave(formula_path, bench, shown)
    pressed, found = portion_or_leave(
        bench, bars, mass=fill, market=market, weighings=weighings, shown=shown
    )
    heated = asked(heat_to, Dimension.TEMPERATURE, "--heat-to", bench, shown)
    a_bar, a_batch = beside(bench, packaging, labour, shown)
    with patience("looking for weights that keep every rule"):
        made = batch(
            bench,
            composition,
            bars,
            pressed,
            heat_to=heated,
            packaging_a_bar=a_bar,
            labour=a_batch,
        )
    if not isinstance(made, Batch):
        from .refusal import refuse_batch

        refuse_batch(bench, made, bars, shown)
    if html is not None:
        from .sheet import sheet_html

        _write(html, sheet_html(bench, made, found), shown, overwrite=overwrite)
    if shown is Format.JSON:
        from ..kit.as_json import dumped
        from .as_json import batch_form

        typer.echo(dumped("batch", batch_form(bench, made)))
        return
    from .view import show_batch

    show_batch(bench, made, found)


def _write(path: Path, text: str, shown: Format, *, overwrite: bool) -> None:
    from ...constraints.bench.writing import write_atomically

    problem = write_atomically(path, text, replace=overwrite)
    if isinstance(problem, Problem):
        leave(Problems((problem,)), shown)
