"""``barwright batch``: a sheet for the bench."""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.units import Dimension
from ..kit.answer import answered
from ..kit.opening import bench_in
from ..kit.options import All, BenchPath, Format, FormulaPath, Shown
from ..kit.patience import patience
from ..kit.portion import (
    Bars,
    BookOf,
    FillAsked,
    Labour,
    Market,
    Packaging,
    Weighings,
    asked,
    by_the_book,
    portion,
)
from ..kit.time_limit import command_deadline
from ..kit.writing import put

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.model.brief import Bench
    from ...workshop.acid.correcting import Corrected
    from ...workshop.batch.lines import Batch


def command(
    bench_path: BenchPath,
    formula_path: FormulaPath,
    *,
    bars: Bars,
    fill: FillAsked = None,
    market: Market = None,
    weighings: Weighings = None,
    book: BookOf = None,
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
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Weigh out N bars of FORMULA: phases, scale readings, temperatures, portions, cautions."""
    from ...constraints.bench.opening import read_formula
    from ...workshop.batch.batch import batch
    from ...workshop.batch.lines import Batch

    deadline = command_deadline()
    bench, past = by_the_book(bench_in(bench_path, shown, judged=True), book)
    composition = read_formula(formula_path, bench)
    pressed, found = portion(bench, bars, mass=fill, market=market, weighings=weighings, past=past)
    heated = asked(heat_to, Dimension.TEMPERATURE, "--heat-to", bench)
    a_bar = asked(packaging, Dimension.MONEY, "--packaging", bench)
    a_batch = asked(labour, Dimension.MONEY, "--labour", bench)
    with patience("looking for weights that keep every rule"):
        made = batch(
            bench,
            composition,
            bars,
            pressed,
            heat_to=heated,
            packaging_a_bar=a_bar,
            labour=a_batch,
            deadline=deadline,
        )
    if not isinstance(made, Batch):
        from .refusal import refuse_batch

        refuse_batch(bench, made, bars, shown)
    if html is not None:
        from ..sheet.page import sheet_html

        put(html, sheet_html(bench, made, found), overwrite=overwrite)
    from ..sheet.view import show_batch
    from .as_json import batch_form
    from .short import show_short_batch

    otherwise = cache(lambda: _corrections(bench, made))

    def view(console: "Console", whole: bool) -> None:
        from ..sheet.correcting import show_corrections

        (show_batch if whole else show_short_batch)(console, bench, made, found)
        if whole:
            show_corrections(console, otherwise())

    answered(
        "batch",
        shown,
        lambda: batch_form(bench, made, otherwise()),
        view,
        whole=everything,
    )


def _corrections(bench: "Bench", made: "Batch") -> "tuple[Corrected, ...]":
    """What to add where the batch reads otherwise, if the brief names what corrects it."""
    from ...constraints.model.brief import Composition
    from ...constraints.rules.acidity import band_of
    from ...workshop.acid.correcting import corrections

    band = band_of(bench.brief)
    if band is None or band.corrected_by is None or not bench.brief.dilution < 1.0:
        return ()
    weighed = made.weighed
    composition = Composition(made.name, weighed.shares)
    return corrections(bench, composition, band.corrected_by, weighed.batch)
