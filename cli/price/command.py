"""``barwright price``: what a bar and a wash cost, and what to ask for a bar."""

from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import Bench
from ...constraints.values.problem import refuse
from ...constraints.values.units import Dimension
from ..kit.answer import answered
from ..kit.numbers import percent
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
    portion,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ...workshop.price.asking import SaleTerms

Hours = Annotated[
    str | None,
    typer.Option("--hours", metavar="TIME", help='Work on the batch, such as "2.5 h".'),
]
Rate = Annotated[
    str | None,
    typer.Option("--rate", metavar="MONEY", help='What an hour of it costs, such as "18 EUR".'),
]
Rejects = Annotated[
    str | None,
    typer.Option(metavar="SHARE", help='Bars made and not sold, such as "3 %".'),
]
Fees = Annotated[
    str | None,
    typer.Option(metavar="SHARE", help='What a sale costs, of the price with tax, as "8 %".'),
]
FeeABar = Annotated[
    str | None,
    typer.Option("--fee-a-bar", metavar="MONEY", help='Beside that, as "0.10 EUR".'),
]
Wholesale = Annotated[
    str | None,
    typer.Option(metavar="SHARE", help='What a shop pays less than the net price, as "40 %".'),
]


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
    hours: Hours = None,
    rate: Rate = None,
    rejects: Rejects = None,
    fees: Fees = None,
    fee_a_bar: FeeABar = None,
    wholesale: Wholesale = None,
    margin: Annotated[
        list[str] | None,
        typer.Option(metavar="SHARE", help='A margin for the price list, such as "60 %".'),
    ] = None,
    at: Annotated[
        list[str] | None,
        typer.Option(metavar="MONEY", help='What a price with tax leaves, such as "6.90 EUR".'),
    ] = None,
    tax: Annotated[
        str | None, typer.Option(metavar="SHARE", help="Sales tax on the net price.")
    ] = None,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Cost a bar and a wash of FORMULA, in packs and in what is used, and list prices."""
    from ...constraints.bench.opening import read_formula
    from ...workshop.price.asking import terms_of
    from ...workshop.price.beside import beside_of
    from ...workshop.price.price import price

    bench = bench_in(bench_path, shown)
    composition = read_formula(formula_path, bench)
    pressed, _ = portion(bench, bars, mass=fill, market=market, weighings=weighings)
    if pressed <= 0:
        refuse("--fill", "a bar of nothing", "a mass such as 62 g")
    spent = beside_of(
        bench,
        packaging_a_bar=asked(packaging, Dimension.MONEY, "--packaging", bench),
        labour=asked(labour, Dimension.MONEY, "--labour", bench),
        hours=asked(hours, Dimension.TIME, "--hours", bench),
        rate=asked(rate, Dimension.MONEY, "--rate", bench),
        rejects=_part(rejects, "--rejects", bench),
    )
    _worked(bench, hours, rate)
    terms = terms_of(
        bench,
        tax=asked(tax, Dimension.SHARE, "--tax", bench),
        fees=asked(fees, Dimension.SHARE, "--fees", bench),
        fee_a_bar=asked(fee_a_bar, Dimension.MONEY, "--fee-a-bar", bench),
        wholesale=asked(wholesale, Dimension.SHARE, "--wholesale", bench),
    )
    margins = [_part(text, "--margin", bench) or 0.0 for text in margin or ()]
    _possible(margins, terms)
    found = price(
        bench,
        composition,
        bars,
        fill=pressed,
        beside=spent,
        terms=terms,
        margins=margins or None,
        at=_asks(bench, at or []),
    )
    from .as_json import price_form
    from .short import show_short_price
    from .view import show_price

    answered(
        "price",
        shown,
        lambda: price_form(bench, found),
        lambda console, whole: (show_price if whole else show_short_price)(console, bench, found),
        whole=everything,
    )


def _worked(bench: Bench, hours: str | None, rate: str | None) -> None:
    """Hours and what one costs belong together."""
    said = bench.brief.workshop
    if hours is not None and rate is None and said.rate_an_hour is None:
        refuse("--hours", "no cost of an hour", '--rate "18 EUR" beside it')
    if rate is not None and hours is None and said.hours_a_batch is None:
        refuse("--rate", "no hours", '--hours "2.5 h" beside it')


def _part(text: str | None, option: str, bench: Bench) -> float | None:
    """A share that leaves something over."""
    share = asked(text, Dimension.SHARE, option, bench)
    if share is not None and share >= 1:
        refuse(option, "100 %", "less than 100 %")
    return share


def _possible(margins: "Sequence[float]", terms: "SaleTerms") -> None:
    """Fees and margin leave something of a price for the cost."""
    from ...workshop.price.asking import leaves_room

    most = max(margins, default=0.0)
    if margins and not leaves_room(most, terms):
        found = f"{percent(most)} of margin and {percent(terms.fees)} of fees"
        refuse("--margin", found, "less than 100 % of the net price together")


def _asks(bench: Bench, texts: list[str]) -> list[float]:
    asks = [asked(text, Dimension.MONEY, "--at", bench) or 0.0 for text in texts]
    if any(one <= 0 for one in asks):
        refuse("--at", "a price of nothing", f"a price such as 6.90 {bench.brief.currency}")
    return asks
