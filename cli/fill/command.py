"""``barwright fill``: the smallest fill weight that keeps the declared net weight."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import MOST_BARS, Bench
from ...constraints.values.problem import refuse, sound
from ...constraints.values.units import Dimension
from ..kit.answer import answered
from ..kit.opening import bench_in
from ..kit.options import All, BenchPath, Format, Shown
from ..kit.portion import (
    BookOf,
    Market,
    Weighings,
    asked,
    by_the_book,
    markets_of,
    weighings_of,
)

if TYPE_CHECKING:
    from rich.console import Console


def command(
    bench_path: BenchPath,
    *,
    bars: Annotated[
        int, typer.Option("--bars", metavar="N", min=1, max=MOST_BARS, help="Bars in a batch.")
    ] = 12,
    market: Market = None,
    weighings: Weighings = None,
    book: BookOf = None,
    risk: Annotated[
        str | None,
        typer.Option(
            metavar="SHARE", help='Batches that may miss a demand of the market, such as "1 %".'
        ),
    ] = None,
    bars_a_year: Annotated[
        int | None,
        typer.Option(
            metavar="N", min=1, max=1_000_000_000, help="Price what is given away in a year."
        ),
    ] = None,
    cost: Annotated[
        str | None,
        typer.Option("--cost", metavar="PRICE", help='Cost of the mix, such as "10.40 EUR/kg".'),
    ] = None,
    formula: Annotated[
        Path | None,
        typer.Option("--formula", metavar="FILE", help="Or take the cost from a formula."),
    ] = None,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Say how much to press so that the net weight on the box of BENCH holds when a bar is sold."""
    from ...constraints.market.net_content import markets_with_net_content
    from ...workshop.fill.fill import strictest

    bench, past = by_the_book(bench_in(bench_path, shown), book)
    cost_per_kg = _cost(bench, cost, formula)
    if bars_a_year and cost_per_kg is None:
        expected = '--cost "10.40 EUR/kg" or --formula FILE beside it'
        refuse("--bars-a-year", "no cost of the mix", expected)
    weighed, batches = weighings_of(weighings, past)
    found = sound(
        strictest(
            bench,
            markets_of(bench, market, markets_with_net_content()),
            bars=bars,
            weighings=weighed,
            batches=batches,
            risk=asked(risk, Dimension.SHARE, "--risk", bench),
            cost_per_kg=cost_per_kg,
            bars_a_year=bars_a_year,
        )
    )
    from .as_json import fill_form
    from .short import show_short_fill
    from .view import show_fill

    def view(console: "Console", whole: bool) -> None:
        (show_fill if whole else show_short_fill)(console, bench, found, bars_a_year)

    answered(
        "fill",
        shown,
        lambda: fill_form(bench, found),
        view,
        whole=everything,
    )


def _cost(bench: Bench, cost: str | None, formula: Path | None) -> float | None:
    from ...constraints.bench.opening import read_formula

    given = asked(cost, Dimension.PRICE, "--cost", bench)
    if given is not None or formula is None:
        return given
    return bench.cost_of(read_formula(formula, bench))
