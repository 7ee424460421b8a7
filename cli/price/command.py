"""``barwright price``: what a bar and a wash cost, and what to ask for a bar."""

from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import Bench
from ...constraints.values.problem import Problem, Problems, Where
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

if TYPE_CHECKING:
    from ...workshop.price.pricing import Price

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
    shown: Shown = Format.TABLE,
) -> None:
    """Cost a bar and a wash of FORMULA, in packs and in what is used, and list prices."""
    from ...workshop.batch.batch import mix_mass
    from ...workshop.price.pricing import costing

    bench = bench_or_leave(bench_path, shown)
    composition = formula_or_leave(formula_path, bench, shown)
    pressed, _ = portion_or_leave(
        bench, bars, mass=fill, market=market, weighings=weighings, shown=shown
    )
    if pressed <= 0:
        _refuse("--fill", "a bar of nothing", "a mass such as 62 g", shown)
    mix = mix_mass(bench, bars, pressed)
    a_bar, a_batch = beside(bench, packaging, labour, shown)
    masses = {name: share * mix for name, share in composition.parts.items() if share > 0}
    costs = costing(bench, masses, bars, packaging_a_bar=a_bar, labour=a_batch)
    prices = _prices(
        bench, costs.a_bar, margins=margin or list(MARGINS), at=at or [], tax=tax, shown=shown
    )
    from .view import price_form, show_price

    if shown is Format.JSON:
        from ..kit.as_json import dumped

        form = price_form(
            bench, composition.name, pressed=pressed, mix=mix, costs=costs, prices=prices
        )
        typer.echo(dumped("price", form))
        return
    show_price(bench, composition.name, pressed=pressed, mix=mix, costs=costs, prices=prices)


def _prices(
    bench: Bench,
    cost: float,
    *,
    margins: list[str],
    at: list[str],
    tax: str,
    shown: Format,
) -> "tuple[Price, ...]":
    """The price at each margin and what each price asked about leaves, cheapest first."""
    from ...workshop.price.pricing import margin_at, price_list

    taxed = asked(tax, Dimension.SHARE, "--tax", bench, shown) or 0.0
    shares = [asked(text, Dimension.SHARE, "--margin", bench, shown) or 0.0 for text in margins]
    if any(share >= 1 for share in shares):
        _refuse("--margin", "100 %", "less than 100 %", shown)
    asks = [asked(text, Dimension.MONEY, "--at", bench, shown) or 0.0 for text in at]
    if any(price <= 0 for price in asks):
        _refuse("--at", "a price of nothing", f"a price such as 6.90 {bench.brief.currency}", shown)
    known = (*price_list(cost, shares, taxed), *(margin_at(cost, ask, taxed) for ask in asks))
    return tuple(sorted(known, key=lambda price: price.gross))


def _refuse(option: str, found: str, expected: str, shown: Format) -> None:
    leave(Problems((Problem(Where(option), found, expected),)), shown)
