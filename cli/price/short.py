"""Costs and prices in one screen."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...workshop.price.pricing import Asking, Costing
from ..kit.numbers import amount
from ..kit.one_screen import columns, counted, sentences, show_parts
from .view import cost_sentences, pack_sentences

if TYPE_CHECKING:
    from rich.console import Console


def show_short_price(
    console: "Console",
    bench: Bench,
    formula: str,
    *,
    pressed: float,
    mix: float,
    costs: Costing,
    prices: tuple[Asking, ...],
) -> None:
    """What a bar and a wash cost, what to lay out first, and what to ask."""
    currency = bench.brief.currency
    head = (
        f"{bench.brief.name}, {formula}: {counted(costs.bars, 'bar')} pressed at "
        f"{amount(pressed)}, {amount(mix)} of mix"
    )
    parts = (
        sentences("", (head,)),
        columns("Cost", _costs(costs, currency), right=(1, 2), least=4, headed=True),
        sentences(
            "", (*cost_sentences(costs, currency), *pack_sentences(costs, currency)), least=2
        ),
        columns("Price list", _list(prices, currency), right=range(4), least=2, headed=True),
    )
    show_parts(console, parts, "--all: the packs to buy, one by one.")


def _costs(costs: Costing, currency: str) -> list[tuple[str, str, str]]:
    named = (
        ("materials used", costs.materials),
        ("packaging", costs.packaging),
        ("labour", costs.labour),
        ("cost", costs.total),
    )
    head = ("", f"the batch, {currency}", f"a bar, {currency}")
    return [head, *((name, *_sums(value, costs.bars)) for name, value in named)]


def _sums(value: float | None, bars: int) -> tuple[str, str]:
    return ("not counted", "–") if value is None else (f"{value:.2f}", f"{value / bars:.2f}")


def _list(prices: tuple[Asking, ...], currency: str) -> list[tuple[str, str, str, str]]:
    head = ("margin", f"net, {currency}", f"with tax, {currency}", f"left, {currency}")
    lines = (
        (
            f"{one.margin:.0%}".replace("%", " %"),
            *(f"{x:.2f}" for x in (one.net, one.gross, one.left)),
        )
        for one in prices
    )
    return [head, *((a, b, c, d) for a, b, c, d in lines)]
