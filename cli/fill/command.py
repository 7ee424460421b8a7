"""``barwright fill``: the smallest fill weight that keeps the declared net weight."""

from pathlib import Path
from typing import Annotated

import typer

from ...constraints.model.brief import Bench
from ...constraints.values.problem import Problem, Problems, Where
from ...constraints.values.units import Dimension
from ..kit.loading import BenchPath, Format, Shown, bench_or_leave, formula_or_leave, leave
from ..kit.portion import Market, Weighings, asked, markets_or_leave, weighings_or_leave


def command(
    bench_path: BenchPath,
    *,
    bars: Annotated[int, typer.Option("--bars", metavar="N", min=1, help="Bars in a batch.")] = 12,
    market: Market = None,
    weighings: Weighings = None,
    risk: Annotated[
        str | None,
        typer.Option(
            metavar="SHARE", help='Batches that may miss a demand of the market, such as "1 %".'
        ),
    ] = None,
    bars_a_year: Annotated[
        int | None,
        typer.Option(metavar="N", min=1, help="Price what is given away in a year."),
    ] = None,
    cost: Annotated[
        str | None,
        typer.Option("--cost", metavar="PRICE", help='Cost of the mix, such as "10.40 EUR/kg".'),
    ] = None,
    formula: Annotated[
        Path | None,
        typer.Option("--formula", metavar="FILE", help="Or take the cost from a formula."),
    ] = None,
    shown: Shown = Format.TABLE,
) -> None:
    """Say how much to press so that the net weight on the box of BENCH holds when a bar is sold."""
    from ...constraints.market.net_content import markets_with_net_content
    from ...workshop.fill.fill import strictest

    bench = bench_or_leave(bench_path, shown)
    cost_per_kg = _cost(bench, cost, formula, shown)
    if bars_a_year and cost_per_kg is None:
        expected = '--cost "10.40 EUR/kg" or --formula FILE beside it'
        leave(Problems((Problem(Where("--bars-a-year"), "no cost of the mix", expected),)), shown)
    found = strictest(
        bench,
        markets_or_leave(bench, market, markets_with_net_content(), shown),
        bars=bars,
        weighings=weighings_or_leave(weighings, shown),
        risk=asked(risk, Dimension.SHARE, "--risk", bench, shown),
        cost_per_kg=cost_per_kg,
        bars_a_year=bars_a_year,
    )
    if isinstance(found, Problems):
        leave(found, shown)
    from .view import fill_form, show_fill

    if shown is Format.JSON:
        from ..kit.as_json import dumped

        typer.echo(dumped("fill", fill_form(bench, found)))
        return
    show_fill(bench, found, bars_a_year)


def _cost(bench: Bench, cost: str | None, formula: Path | None, shown: Format) -> float | None:

    given = asked(cost, Dimension.PRICE, "--cost", bench, shown)
    if given is not None or formula is None:
        return given
    return bench.cost_of(formula_or_leave(formula, bench, shown))
