"""A plan as data: one JSON document, or comma-separated lines."""

import csv
import io
from collections.abc import Iterator

from ...constraints.model.brief import Bench
from ...workshop.plan.bought import Shipped
from ...workshop.plan.needs import Bar, NoPlan, Plan
from ...workshop.plan.order import Planned
from ..kit.tables import Cell
from ..kit.workbook import harmless
from .words import order_day


def plan_form(bench: Bench, found: Plan) -> dict[str, object]:
    """A plan as JSON; masses in kg, money in the currency of the brief."""
    bought = found.bought
    return {
        "status": "within the gap" if found.in_time else "time ran out",
        "units": {"mass": "kg", "money": bench.brief.currency, "share": "kg per kg of mix"},
        "weeks": found.weeks,
        "from": found.terms.first_day.isoformat(),
        "outlay": found.outlay,
        "cost": bought.cost,
        "no_plan_costs_less_than": bought.bound,
        "gap": bought.gap,
        "leftover_worth": found.terms.worth,
        "storage": bought.storage,
        "orders": [
            {
                "week": one.week,
                "order_by": _order_by(found, one),
                "supplier": one.supplier,
                "goods": one.goods,
                "shipping": one.shipping,
                "lines": [
                    {
                        "material": each.offer.material,
                        "packs": each.packs,
                        "pack": each.offer.pack,
                        "outlay": each.outlay,
                    }
                    for each in bought.purchases
                    if (each.week, each.offer.supplier) == (one.week, one.supplier)
                ],
            }
            for one in bought.orders
        ],
        "needs": [
            {
                "material": need.material,
                "needed": need.needed,
                "there": need.there,
                "short": need.short,
                "ordered": need.ordered,
                "left": need.left,
                "best_before": need.best_before or None,
            }
            for need in found.needs
        ],
        "batches": [_batch_form(one) for one in found.batches],
        "bars": [_bar_form(bar) for bar in found.bars],
    }


def _order_by(found: Plan, one: Shipped) -> str | None:
    day = order_day(found, one.week, one.supplier)
    return None if day is None else day.isoformat()


def _batch_form(one: Planned) -> dict[str, object]:
    return {
        "week": one.week,
        "bench": one.bench.folder,
        "formula": one.composition.name,
        "bars": one.bars,
        "fill": one.fill,
        "mix": one.mix,
        "parts": dict(one.parts),
        "waits_for": list(one.waits_for),
        "drawn": [{"material": name, "lot": lot, "mass": mass} for name, lot, mass in one.drawn],
    }


def _bar_form(bar: Bar) -> dict[str, object]:
    return {
        "bench": bar.bench.folder,
        "formula": bar.formula.name,
        "changed": bar.changed,
        "composition": dict(bar.composition.parts),
        "mix_by_week": list(bar.masses),
    }


def no_plan_form(found: NoPlan) -> dict[str, object]:
    """That there is no plan, as JSON."""
    return {
        "status": type(found.why).__name__.lower(),
        "cannot_be_had": [{"material": name, "short": mass} for name, mass in found.cannot_be_had],
        "too_late": [
            {"material": name, "short": mass, "week": week} for name, mass, week in found.too_late
        ],
    }


HEAD = ("what", "week", "who", "name", "count", "mass_kg", "money", "currency")


def plan_csv(bench: Bench, found: Plan) -> str:
    """A plan as lines: orders, shipping, batches in order, and what is needed and left."""
    made = io.StringIO()
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow(HEAD)
    writer.writerows([harmless(cell) for cell in line] for line in _lines(bench, found))
    return made.getvalue()


def _lines(bench: Bench, found: Plan) -> Iterator[tuple[Cell, ...]]:
    currency = bench.brief.currency
    for one in found.bought.purchases:
        offer = one.offer
        count, mass = f"{one.packs:.12g}", f"{one.mass:.12g}"
        cost = f"{one.outlay:.2f}"
        yield "order", one.week, offer.supplier, offer.material, count, mass, cost, currency
    for order in found.bought.orders:
        cost = f"{order.shipping:.2f}"
        yield "shipping", order.week, order.supplier, "", "", "", cost, currency
    for batch in found.batches:
        name, mix = batch.composition.name, f"{batch.mix:.12g}"
        yield "batch", batch.week, batch.bench.folder, name, batch.bars, mix, "", ""
    for need in found.needs:
        yield "needed", "", "", need.material, "", f"{need.needed:.12g}", "", ""
        yield "left", "", "", need.material, "", f"{need.left:.12g}", "", ""
