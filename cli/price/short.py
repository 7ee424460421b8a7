"""Costs and prices in one screen."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...workshop.price.price import Priced
from ...workshop.price.pricing import Costing
from ..kit.numbers import amount
from ..kit.one_screen import columns, counted, sentences, show_parts
from ..kit.words import bar_name
from .view import (
    bowl_counted,
    broken_sentences,
    cost_sentences,
    pack_sentences,
    price_cells,
    price_heads,
)

if TYPE_CHECKING:
    from rich.console import Console


def show_short_price(console: "Console", bench: Bench, found: Priced) -> None:
    """What a bar and a wash cost, what to lay out first, and what to ask."""
    currency, costs = bench.brief.currency, found.costs
    head = (
        f"{bar_name(bench, found.formula)}: {counted(costs.bars, 'bar')} pressed at "
        f"{amount(found.pressed)}, {amount(found.mix)} of mix"
    )
    warned = (*bowl_counted(bench, found), *broken_sentences(found.broken))
    parts = (
        sentences("", (head, *warned), least=1 + len(warned)),
        columns("Cost", _costs(costs, currency), right=(1, 2), least=4, headed=True),
        sentences(
            "",
            (*cost_sentences(costs, currency), *pack_sentences(costs, currency)),
            least=2,
        ),
        columns("Price list", _list(found, currency), right=range(7), least=2, headed=True),
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
    return [head, *((name, *_sums(value, costs.sold)) for name, value in named)]


def _sums(value: float | None, bars: float) -> tuple[str, str]:
    return ("not counted", "–") if value is None else (f"{value:.2f}", f"{value / bars:.2f}")


def _list(found: Priced, currency: str) -> list[tuple[str, ...]]:
    lines = (
        (f"{one.margin:.0%}".replace("%", " %"), *price_cells(one, found.terms))
        for one in found.prices
    )
    return [("margin", *price_heads(found.terms, currency)), *lines]
