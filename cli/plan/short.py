"""A plan in one screen: what it comes to, and whom to order from."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...workshop.plan.needs import Plan
from ..kit.numbers import money_sum
from ..kit.one_screen import columns, counted, sentences, show_parts
from .words import CAUTION, order_day, plan_sentences

if TYPE_CHECKING:
    from rich.console import Console


def show_short_plan(console: "Console", bench: Bench, found: Plan) -> None:
    """What the plan comes to, each order in a line, and what to beware of."""
    said = list(plan_sentences(found, bench.brief.currency))
    parts = (
        sentences("", said, least=len(said)),
        columns("What to order", _orders(bench, found), right=(2, 3), least=2),
        sentences("Beware", (CAUTION,)),
    )
    show_parts(console, parts, "--all: every pack, what is short and left, batch by batch.")


def _orders(bench: Bench, found: Plan) -> list[tuple[str, str, str, str]]:
    """Each order with its week, its materials and its outlay, shipping in it."""
    currency, lines = bench.brief.currency, []
    for order in found.bought.orders:
        bought = [
            one
            for one in found.bought.purchases
            if (one.week, one.offer.supplier) == (order.week, order.supplier)
        ]
        outlay = sum(one.outlay for one in bought) + order.shipping
        materials = counted(len({one.offer.material for one in bought}), "material")
        day = order_day(found, order.week, order.supplier)
        by = "" if day is None else f", by {day.isoformat()}"
        supplier = f"{order.supplier or 'a supplier not named'}{by}"
        lines.append((f"week {order.week}", supplier, materials, money_sum(outlay, currency)))
    return lines or [("nothing", "the stock does", "", "")]
