"""A plan on the screen: what to order, what is short, what to make in which order."""

from itertools import groupby
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...workshop.plan.needs import Bar, NoPlan, Plan
from ..kit.numbers import amount, money_sum, share
from ..kit.screen import heading, paragraph, picture, table, ticked
from ..picture.bars import Amount, Bars
from .words import CAUTION, no_plan_sentences, order_head, packs_cell, plan_sentences, waits_cell

if TYPE_CHECKING:
    from rich.console import Console

TOUCHED = 1e-4
"""A share that moves by no more is not shown as changed [kg/kg]."""


def show_plan(console: "Console", bench: Bench, found: Plan) -> None:
    """The whole answer of ``plan``."""
    for sentence in plan_sentences(found, bench.brief.currency):
        paragraph(console, sentence)
    _show_orders(console, bench, found)
    _show_needs(console, found)
    _show_batches(console, found)
    for bar in found.bars:
        if bar.changed > TOUCHED:
            _show_changed(console, bar)
    _show_left(console, bench, found)
    paragraph(console, CAUTION)


def show_no_plan(console: "Console", bench: Bench, found: NoPlan) -> None:
    """Why there is no plan."""
    notes = {item.material.name: item.note or "not available" for item in bench.shelf}
    for sentence in no_plan_sentences(found, notes):
        paragraph(console, sentence)


def _show_orders(console: "Console", bench: Bench, found: Plan) -> None:
    currency = bench.brief.currency
    heading(console, "What to order")
    shipping = {(one.week, one.supplier): one.shipping for one in found.bought.orders}
    ordered = sorted(found.bought.purchases, key=lambda one: (one.week, one.offer.supplier))
    for (week, supplier), group in groupby(ordered, key=lambda one: (one.week, one.offer.supplier)):
        lines = list(group)
        paragraph(console, order_head(found, week, supplier))
        made = table("material", "packs", currency, right=(1, 2))
        for one in lines:
            made.add_row(one.offer.material, packs_cell(one), f"{one.outlay:.2f}")
        paid = shipping[week, supplier]
        made.add_row("shipping", "", f"{paid:.2f}")
        made.add_row("in all", "", f"{sum(one.outlay for one in lines) + paid:.2f}")
        ticked(console, made)
        console.print()
    if not ordered:
        paragraph(console, "Nothing: the stock does.")
    picture(console, lambda: _orders_picture(found, currency))


def _orders_picture(found: Plan, currency: str) -> Bars | None:
    """What each order costs, shipping in it; ``None`` where nothing is ordered."""
    orders = found.bought.orders
    if not orders:
        return None
    bars = (
        Amount(
            f"week {one.week}, {one.supplier or 'a supplier not named'}",
            one.goods + one.shipping,
            money_sum(one.goods + one.shipping, currency),
        )
        for one in orders
    )
    said = f"Of {money_sum(found.outlay, currency)} in all, what each order costs, shipping in it."
    return Bars("What the orders cost", said, ("order", "outlay"), tuple(bars))


def _show_needs(console: "Console", found: Plan) -> None:
    heading(console, "What it takes")
    made = table("material", "needed", "there", "short", "ordered", "left", right=range(1, 6))
    for need in found.needs:
        there = "not counted" if need.there is None else amount(need.there)
        made.add_row(
            need.material,
            amount(need.needed),
            there,
            amount(need.short) if need.short > 0 else "",
            amount(need.ordered) if need.ordered else "",
            amount(need.left) if need.left else "",
        )
    console.print(made)
    if any(need.there is None for need in found.needs):
        paragraph(console, "A stock that was not counted counts as none.")


def _show_batches(console: "Console", found: Plan) -> None:
    heading(console, "Batches, in an order that the stock allows")
    made = table("week", "bars", "mix", "bar", "", right=(0, 1, 2))
    for one in found.batches:
        name = f"{one.bench.brief.name}: {one.composition.name}"
        made.add_row(str(one.week), str(one.bars), amount(one.mix), name, waits_cell(one))
    console.print(made)


def _show_changed(console: "Console", bar: Bar) -> None:
    heading(console, f"{bar.formula.name}: {share(bar.changed)} other substances")
    made = table("material", "before", "after", right=(1, 2))
    before, after = bar.formula.parts, bar.composition.parts
    for name in dict.fromkeys((*before, *after)):
        old, new = before.get(name, 0.0), after.get(name, 0.0)
        if abs(old - new) > TOUCHED:
            made.add_row(name, share(old) if old else "–", share(new) if new else "–")
    console.print(made)
    paragraph(console, "A changed formula is a new product for its safety assessment.")


def _show_left(console: "Console", bench: Bench, found: Plan) -> None:
    passing = [need for need in found.needs if need.best_before and need.left > 0]
    if passing:
        heading(console, "What is left, and until when it is good")
        for need in passing:
            said = f"{need.material}: {amount(need.left)}, some of it to {need.best_before}."
            paragraph(console, said)
    spoilt = [one for one in found.bought.left if one.source.last is not None and not one.worth]
    for one in spoilt:
        lot = f", lot {one.source.lot}" if one.source.lot else ""
        if one.source.last is not None and one.source.last < found.weeks:
            said = f"{one.source.material}{lot}: {amount(one.mass)} cannot be used up in time."
            paragraph(console, said)
    worth = sum(one.worth for one in found.bought.left)
    if worth:
        paragraph(console, f"All that is left counts for {money_sum(worth, bench.brief.currency)}.")
