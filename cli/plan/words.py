"""What is said of a plan."""

from collections.abc import Iterator
from datetime import date

from ...solver.program.outcome import Infeasible
from ...workshop.plan.asking import order_by
from ...workshop.plan.bought import PacksBought
from ...workshop.plan.needs import NoPlan, Plan
from ...workshop.plan.order import Planned
from ..kit.numbers import amount, money_sum, percent

CAUTION = (
    "A plan is a proposal on paper: prices and stock are as the shelf says, and what is weighed is "
    "weighed in whole steps of a balance. Look at what is past its best before it goes into a bar."
)


def plan_sentences(found: Plan, currency: str) -> Iterator[str]:
    """What is made, what it costs, and how sure it is that nothing costs less."""
    bars, mix = sum(one.bars for one in found.batches), sum(one.mix for one in found.batches)
    kinds = counted(len(found.bars), "kind")
    yield (
        f"{bars} bars of {kinds} in {counted(found.weeks, 'week')}: {amount(mix)} of mix in "
        f"{counted(len(found.batches), 'batch', 'batches')}."
    )
    shipping = sum(one.shipping for one in found.bought.orders)
    orders = counted(len(found.bought.orders), "order")
    yield f"{orders} for {money_sum(found.outlay, currency)}, {_shipped(shipping, currency)}."
    yield _cost_sentence(found, currency)
    yield _proof_sentence(found)


def _shipped(shipping: float, currency: str) -> str:
    return f"{money_sum(shipping, currency)} of it shipping" if shipping else "shipped for nothing"


def _cost_sentence(found: Plan, currency: str) -> str:
    bought = found.bought
    left = sum(one.worth for one in bought.left)
    worth = f"what is left counts for {percent(found.terms.worth)} of its price"
    said = f"{money_sum(left, currency)}: {worth}" if found.terms.worth else "nothing, as stated"
    stored = f", storing {money_sum(bought.storage, currency)}" if bought.storage else ""
    return f"Less what is left ({said}){stored}, the plan costs {money_sum(bought.cost, currency)}."


def _proof_sentence(found: Plan) -> str:
    gap = percent(found.bought.gap)
    if not found.in_time:
        return f"The time ran out: another plan may cost up to {gap} less, and none less than that."
    if found.bought.gap <= 1e-6:
        return "Proved: no plan costs less."
    return f"Proved: no plan costs less by more than {gap}."


def no_plan_sentences(found: NoPlan, names: dict[str, str]) -> Iterator[str]:
    """Why there is no plan."""
    if not isinstance(found.why, Infeasible):
        yield f"No plan was found in the time given, nor that there is none ({found.why})."
        return
    yield "No plan makes these bars from what is there and what can be had."
    for name, mass in found.cannot_be_had:
        yield f"{name}: {amount(mass)} short, and nobody offers it ({names[name]})."
    for name, mass, week in found.too_late:
        yield (
            f"{name}: {amount(mass)} short before it can be delivered; it can be there from "
            f"week {week} on."
        )


def order_day(found: Plan, week: int, supplier: str) -> date | None:
    """The last day to order; ``None`` where nothing is said of how long the delivery takes."""
    days = max(
        one.offer.delivery
        for one in found.bought.purchases
        if (one.week, one.offer.supplier) == (week, supplier)
    )
    return order_by(found.terms.first_day, week, days) if days else None


def order_head(found: Plan, week: int, supplier: str) -> str:
    """When an order has to be there, by when to order, and from whom."""
    day = order_day(found, week, supplier)
    by = "" if day is None else f", order by {day.isoformat()}"
    return f"Week {week}, {supplier or 'a supplier not named'}{by}"


def packs_cell(one: PacksBought) -> str:
    """Whole packs as they are ordered."""
    if not one.offer.pack:
        return amount(one.packs)
    return f"{one.packs:.0f} × {amount(one.offer.pack)}"


def waits_cell(one: Planned) -> str:
    """What a batch waits for."""
    if not one.waits_for:
        return "from stock"
    return f"when the order is there: {counted(len(one.waits_for), 'material')}"


def counted(count: int, one: str, several: str = "") -> str:
    """A count with its word.

    >>> counted(1, "week"), counted(3, "batch", "batches")
    ('1 week', '3 batches')
    """
    return f"{count} {one if count == 1 else several or one + 's'}"
