"""``barwright price``: what a bar and a wash cost, and what to ask for a bar."""

from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import Bench
from ...constraints.values.problem import refuse
from ...constraints.values.units import Dimension
from ..kit.answer import answered
from ..kit.opening import bench_in
from ..kit.options import All, BenchPath, Format, FormulaPath, Shown
from ..kit.portion import (
    Bars,
    FillAsked,
    Labour,
    Market,
    Packaging,
    Weighings,
    asked,
    beside,
    portion,
)

if TYPE_CHECKING:
    from rich.console import Console

    from ...workshop.price.pricing import Asking

MARGINS = ("30 %", "40 %", "50 %", "60 %", "70 %")
"""The price list's rows where no margin is asked for."""


def command(
    bench_path: BenchPath,
    formula_path: FormulaPath,
    *,
    bars: Bars,
    fill: FillAsked = None,
    market: Market = None,
    weighings: Weighings = None,
    packaging: Packaging = None,
    labour: Labour = None,
    margin: Annotated[
        list[str] | None,
        typer.Option(metavar="SHARE", help='A margin for the price list, such as "60 %".'),
    ] = None,
    at: Annotated[
        list[str] | None,
        typer.Option(metavar="MONEY", help='What a price with tax leaves, such as "6.90 EUR".'),
    ] = None,
    tax: Annotated[str, typer.Option(metavar="SHARE", help="Sales tax on the net price.")] = "0 %",
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Cost a bar and a wash of FORMULA, in packs and in what is used, and list prices."""
    from ...constraints.bench.opening import read_formula
    from ...workshop.batch.size import batch_mass
    from ...workshop.price.pricing import costing

    bench = bench_in(bench_path, shown)
    composition = read_formula(formula_path, bench)
    pressed, _ = portion(bench, bars, mass=fill, market=market, weighings=weighings)
    if pressed <= 0:
        refuse("--fill", "a bar of nothing", "a mass such as 62 g")
    mix = batch_mass(bench, composition, bars, pressed)
    a_bar, a_batch = beside(bench, packaging, labour)
    masses = {name: share * mix for name, share in composition.parts.items() if share > 0}
    costs = costing(bench, masses, bars, packaging_a_bar=a_bar, labour=a_batch)
    prices = _prices(bench, costs.a_bar, margins=margin or list(MARGINS), at=at or [], tax=tax)
    from .as_json import price_form
    from .short import show_short_price
    from .view import show_price

    name, found = composition.name, {"pressed": pressed, "mix": mix}

    def view(console: "Console", whole: bool) -> None:
        show = show_price if whole else show_short_price
        show(console, bench, name, **found, costs=costs, prices=prices)

    answered(
        "price",
        shown,
        lambda: price_form(bench, name, **found, costs=costs, prices=prices),
        view,
        whole=everything,
    )


def _prices(
    bench: Bench,
    cost: float,
    *,
    margins: list[str],
    at: list[str],
    tax: str,
) -> "tuple[Asking, ...]":
    """The price at each margin and what each price asked about leaves, cheapest first."""
    from ...workshop.price.pricing import margin_at, price_list

    taxed = asked(tax, Dimension.SHARE, "--tax", bench) or 0.0
    shares = [asked(text, Dimension.SHARE, "--margin", bench) or 0.0 for text in margins]
    if any(share >= 1 for share in shares):
        refuse("--margin", "100 %", "less than 100 %")
    asks = [asked(text, Dimension.MONEY, "--at", bench) or 0.0 for text in at]
    if any(price <= 0 for price in asks):
        refuse("--at", "a price of nothing", f"a price such as 6.90 {bench.brief.currency}")
    known = (*price_list(cost, shares, taxed), *(margin_at(cost, ask, taxed) for ask in asks))
    return tuple(sorted(known, key=lambda price: price.gross))
