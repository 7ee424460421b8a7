"""Costs and prices on the screen and as JSON."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...constraints.model.verdict import Verdict
from ...workshop.price.asking import Asking, SaleTerms
from ...workshop.price.price import Priced
from ...workshop.price.pricing import Bought, Costing
from ..kit.numbers import amount, money_sum, percent
from ..kit.one_screen import counted
from ..kit.screen import heading, paragraph, picture, table
from ..kit.words import bar_name, bowl_sentences
from ..picture.bars import Amount, Bars

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table


def show_price(console: "Console", bench: Bench, found: Priced) -> None:
    """The whole answer of ``price``."""
    currency, costs = bench.brief.currency, found.costs
    paragraph(
        console,
        f"{bar_name(bench, found.formula)}: {counted(costs.bars, 'bar')} pressed at "
        f"{amount(found.pressed)}, {amount(found.mix)} of mix with "
        f"{percent(bench.brief.portioning.loss)} of losses",
    )
    for sentence in (*bowl_counted(bench, found), *broken_sentences(found.broken)):
        paragraph(console, sentence)
    console.print(_cost_table(costs, currency))
    picture(console, lambda: _costs_picture(costs, currency))
    for sentence in cost_sentences(costs, currency):
        paragraph(console, sentence)
    heading(console, "In whole packs")
    for sentence in pack_sentences(costs, currency):
        paragraph(console, sentence)
    if costs.packs or any(one.packs for one in costs.purchases):
        console.print(_packs_table(costs, currency))
    heading(console, "Price list")
    console.print(_price_table(found, currency))
    for sentence in terms_sentences(found.terms):
        paragraph(console, sentence)


def broken_sentences(broken: Sequence[Verdict]) -> Iterator[str]:
    """That what is priced is not what the rules ask for."""
    if broken:
        names = ", ".join(verdict.rule.id for verdict in broken)
        yield f"As it is written it does not keep {names}: see barwright check before it is sold."


def terms_sentences(terms: SaleTerms) -> Iterator[str]:
    """What a margin is, and on what terms."""
    yield "Margin is what is left of the net price, after what is counted above."
    if terms.fees or terms.fee_a_bar:
        fixed = f" and {terms.fee_a_bar:g} a bar" if terms.fee_a_bar else ""
        yield (
            f"Fees of {percent(terms.fees)} of the price with tax{fixed} are paid out of it; "
            "a shop's order is taken to cost none."
        )


def _cost_table(costs: Costing, currency: str) -> "Table":
    made = table("", f"the batch, {currency}", f"a bar, {currency}", right=(1, 2))
    rows = (
        ("materials used", costs.materials),
        ("packaging", costs.packaging),
        ("labour", costs.labour),
    )
    for name, sum_of in rows:
        made.add_row(name, *_sums(sum_of, costs.sold))
    made.add_section()
    made.add_row("cost", *_sums(costs.total, costs.sold))
    return made


def _costs_picture(costs: Costing, currency: str) -> Bars:
    """What a bar costs, part by part; what is not counted has no part."""
    named = (
        ("materials used", costs.materials),
        ("packaging", costs.packaging),
        ("labour", costs.labour),
    )
    bars = tuple(
        Amount(name, sum_of / costs.sold, money_sum(sum_of / costs.sold, currency))
        for name, sum_of in named
        if sum_of is not None
    )
    said = (
        f"Of {money_sum(costs.total / costs.sold, currency)} that a bar costs, what each part is."
    )
    return Bars("What a bar costs", said, ("part", "a bar"), bars)


def _sums(sum_of: float | None, bars: float) -> tuple[str, str]:
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
    if costs.sold < costs.bars:
        yield (
            f"Of {counted(costs.bars, 'bar')} {costs.sold:.4g} are sold on average: what the others"
            " cost is in these."
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


def bowl_counted(bench: Bench, found: Priced) -> Iterator[str]:
    """That it takes more bowls than one, and that labour is of one batch."""
    labour = "; labour is counted for one" if found.costs.labour is not None else ""
    return bowl_sentences(bench, found.mix, labour)


def pack_sentences(costs: Costing, currency: str) -> Iterator[str]:
    """What has to be laid out before the first bar."""
    buying = [one for one in costs.purchases if one.packs]
    if not buying:
        yield "The counted stock does for the batch: nothing has to be bought."
        return
    yield (
        f"{len(buying)} of {counted(len(costs.purchases), 'material')} "
        f"{'has' if len(buying) == 1 else 'have'} to be bought: "
        f"{money_sum(sum(one.money for one in buying), currency)} of packs, so that a bar "
        f"of this first batch costs {money_sum(costs.a_bar_bought, currency)}; what is left "
        "over makes the next ones cheaper."
    )
    boxed = [one for one in costs.packs if one.packs]
    if boxed:
        sum_of = money_sum(sum(one.money for one in boxed), currency)
        yield f"Packaging comes in whole packs too: {sum_of}."
    if any(one.stock is None for one in costs.purchases):
        yield "A material whose stock is not counted is taken to have run out."


def _packs_table(costs: Costing, currency: str) -> "Table":
    made = table("material", "needed", "packs", currency, "left over", right=(1, 2, 3, 4))
    for one in costs.purchases:
        if one.packs:
            made.add_row(
                one.material, amount(one.needed), _packs(one), f"{one.money:.2f}", amount(one.left)
            )
    for box in costs.packs:
        left = box.packs * box.pack - box.needed
        packs = f"{box.packs} × {box.pack}"
        made.add_row(box.name, str(box.needed), packs, f"{box.money:.2f}", str(left))
    return made


def _packs(one: Bought) -> str:
    return f"{one.packs} × {amount(one.pack)}"


def price_heads(terms: SaleTerms, currency: str) -> tuple[str, ...]:
    """The columns of a price list beside the margin; with many the currency stands once."""
    fees = ("fees",) if terms.fees or terms.fee_a_bar else ()
    shop = () if terms.wholesale is None else ("a shop pays", "leaves")
    if not fees and not shop:
        return tuple(f"{head}, {currency}" for head in ("net", "with tax", "left"))
    return (f"net, {currency}", "with tax", *fees, "left", *shop)


def price_cells(one: Asking, terms: SaleTerms) -> tuple[str, ...]:
    """A price in these columns."""
    fees = (one.fees,) if terms.fees or terms.fee_a_bar else ()
    shop = (one.shop_pays, one.shop_leaves)
    figures = (one.net, one.gross, *fees, one.left, *(x for x in shop if x is not None))
    return tuple(f"{figure:.2f}" for figure in figures)


def _price_table(found: Priced, currency: str) -> "Table":
    heads = price_heads(found.terms, currency)
    made = table("margin", *heads, right=tuple(range(1, len(heads) + 1)))
    for one in found.prices:
        made.add_row(f"{one.margin:.1%}".replace("%", " %"), *price_cells(one, found.terms))
    return made
