"""Costs and prices on the screen and as JSON."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...workshop.price.pricing import Asking, Bought, Costing
from ..kit.numbers import amount, money_sum, percent
from ..kit.screen import heading, paragraph, picture, table
from ..picture.bars import Amount, Bars

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table


def show_price(
    console: "Console",
    bench: Bench,
    formula: str,
    *,
    pressed: float,
    mix: float,
    costs: Costing,
    prices: tuple[Asking, ...],
) -> None:
    """The whole answer of ``price``."""
    currency = bench.brief.currency
    paragraph(
        console,
        f"{bench.brief.name}, {formula}: {costs.bars} bars pressed at {amount(pressed)}, "
        f"{amount(mix)} of mix with {percent(bench.brief.portioning.loss)} of losses",
    )
    console.print(_cost_table(costs, currency))
    picture(console, lambda: _costs_picture(costs, currency))
    for sentence in cost_sentences(costs, currency):
        paragraph(console, sentence)
    heading(console, "In whole packs")
    for sentence in pack_sentences(costs, currency):
        paragraph(console, sentence)
    if any(one.packs for one in costs.purchases):
        console.print(_packs_table(costs, currency))
    heading(console, "Price list")
    console.print(_price_table(prices, currency))
    paragraph(console, "Margin is what is left of the net price, after what is counted above.")


def _cost_table(costs: Costing, currency: str) -> "Table":
    made = table("", f"the batch, {currency}", f"a bar, {currency}", right=(1, 2))
    rows = (
        ("materials used", costs.materials),
        ("packaging", costs.packaging),
        ("labour", costs.labour),
    )
    for name, sum_of in rows:
        made.add_row(name, *_sums(sum_of, costs.bars))
    made.add_section()
    made.add_row("cost", *_sums(costs.total, costs.bars))
    return made


def _costs_picture(costs: Costing, currency: str) -> Bars:
    """What a bar costs, part by part; what is not counted has no part."""
    named = (
        ("materials used", costs.materials),
        ("packaging", costs.packaging),
        ("labour", costs.labour),
    )
    bars = tuple(
        Amount(name, sum_of / costs.bars, money_sum(sum_of / costs.bars, currency))
        for name, sum_of in named
        if sum_of is not None
    )
    said = (
        f"Of {money_sum(costs.total / costs.bars, currency)} that a bar costs, what each part is."
    )
    return Bars("What a bar costs", said, ("part", "a bar"), bars)


def _sums(sum_of: float | None, bars: int) -> tuple[str, str]:
    if sum_of is None:
        return "not counted", "–"
    return f"{sum_of:.2f}", f"{sum_of / bars:.3f}"


def cost_sentences(costs: Costing, currency: str) -> Iterator[str]:
    """A wash, and what is not counted."""
    least, most = costs.a_wash
    fewest, longest = costs.washes
    source = "the brief" if costs.washes_source is None else costs.washes_source.citation
    yield (
        f"A wash costs {_wash(least)} to {_wash(most)} {currency}, "
        f"at {longest:g} to {fewest:g} washes a bar ({source})."
    )
    missing = [
        name
        for name, given in (("--packaging", costs.packaging), ("--labour", costs.labour))
        if given is None
    ]
    if missing:
        yield f"Not counted, and so the cost is too low: give {' and '.join(missing)}."


def _wash(value: float) -> str:
    return f"{value:.4f}"


def pack_sentences(costs: Costing, currency: str) -> Iterator[str]:
    """What has to be laid out before the first bar."""
    buying = [one for one in costs.purchases if one.packs]
    if not buying:
        yield "The counted stock does for the batch: nothing has to be bought."
        return
    yield (
        f"{len(buying)} of {len(costs.purchases)} materials have to be bought: "
        f"{money_sum(sum(one.money for one in buying), currency)} of packs, so that a bar "
        f"of this first batch costs {money_sum(costs.a_bar_bought, currency)}; what is left "
        "over makes the next ones cheaper."
    )
    if any(one.stock is None for one in costs.purchases):
        yield "A material whose stock is not counted is taken to have run out."


def _packs_table(costs: Costing, currency: str) -> "Table":
    made = table("material", "needed", "packs", currency, "left over", right=(1, 2, 3, 4))
    for one in costs.purchases:
        if one.packs:
            made.add_row(
                one.material, amount(one.needed), _packs(one), f"{one.money:.2f}", amount(one.left)
            )
    return made


def _packs(one: Bought) -> str:
    return f"{one.packs} × {amount(one.pack)}"


def _price_table(prices: tuple[Asking, ...], currency: str) -> "Table":
    made = table(
        "margin", f"net, {currency}", f"with tax, {currency}", f"left, {currency}", right=(1, 2, 3)
    )
    for price in prices:
        made.add_row(
            f"{price.margin:.1%}".replace("%", " %"),
            f"{price.net:.2f}",
            f"{price.gross:.2f}",
            f"{price.left:.2f}",
        )
    return made
