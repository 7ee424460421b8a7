"""What to ask for a bar, and what a price leaves: fees, tax and a shop's part taken off."""

from collections.abc import Iterable
from dataclasses import dataclass

from ...constraints.model.brief import Bench
from ...constraints.values.told import Told


@dataclass(frozen=True, slots=True, repr=False)
class SaleTerms(Told):
    """On what terms bars are sold.

    Args:
        tax: sales tax on the net price, 0.19 for 19 %.
        fees: what a sale costs, of the price with tax: a stall, a platform, a card.
        fee_a_bar: what the sale of a bar costs beside that [money].
        wholesale: what a shop pays less than the net price, of that price, or ``None``.
    """

    tax: float = 0.0
    fees: float = 0.0
    fee_a_bar: float = 0.0
    wholesale: float | None = None


PLAIN = SaleTerms()
"""Neither tax nor fees."""


@dataclass(frozen=True, slots=True, repr=False)
class Asking(Told):
    """A price and what it leaves.

    Args:
        cost: of a bar [money].
        margin: what is left of the net price, as a share of it; negative when sold below cost.
        net: price without tax [money].
        gross: price with tax [money].
        left: what is left of the net price, cost and fees paid [money].
        fees: of the sale [money].
        shop_pays: what a shop pays without tax [money]; ``None`` where none does.
        shop_leaves: what that leaves, no fees paid [money].
    """

    cost: float
    margin: float
    net: float
    gross: float
    left: float
    fees: float = 0.0
    shop_pays: float | None = None
    shop_leaves: float | None = None


def price_at(cost: float, margin: float, terms: SaleTerms = PLAIN) -> Asking:
    """The price that leaves a margin.

    Args:
        cost: of a bar [money].
        margin: share of the net price to be left, below 1.
        terms: tax and fees.

    Raises:
        ValueError: when no price leaves such a margin, or a tax or fee is negative.

    >>> asking = price_at(3.0, 0.4, SaleTerms(tax=0.2))
    >>> asking.net, asking.gross, asking.left
    (5.0, 6.0, 2.0)
    """
    kept = 1 - margin - terms.fees * (1 + terms.tax)
    if not kept > 0 or _negative(terms):
        message = f"no price leaves a margin of {margin} on {terms}"
        raise ValueError(message)
    return _asking(cost, (cost + terms.fee_a_bar) / kept, terms)


def leaves_room(margin: float, terms: SaleTerms) -> bool:
    """Whether fees leave room for a margin, and it for the cost."""
    return margin + terms.fees * (1 + terms.tax) < 1


def margin_at(cost: float, gross: float, terms: SaleTerms = PLAIN) -> Asking:
    """What a price with tax leaves.

    Raises:
        ValueError: for a price of nothing, or where a tax or fee is negative.
    """
    if not gross > 0 or _negative(terms):
        message = f"a price of {gross} on {terms} says nothing of margins"
        raise ValueError(message)
    return _asking(cost, gross / (1 + terms.tax), terms)


def price_list(
    cost: float, margins: Iterable[float], terms: SaleTerms = PLAIN
) -> tuple[Asking, ...]:
    """The price at each margin, as ``price_at``."""
    return tuple(price_at(cost, margin, terms) for margin in margins)


def terms_of(
    bench: Bench,
    *,
    tax: float | None = None,
    fees: float | None = None,
    fee_a_bar: float | None = None,
    wholesale: float | None = None,
) -> SaleTerms:
    """The terms asked for, else those of the brief's workshop; arguments as in ``SaleTerms``."""
    said = bench.brief.workshop
    return SaleTerms(
        tax=(said.tax if tax is None else tax) or 0.0,
        fees=(said.fees if fees is None else fees) or 0.0,
        fee_a_bar=(said.fee_a_bar if fee_a_bar is None else fee_a_bar) or 0.0,
        wholesale=said.wholesale if wholesale is None else wholesale,
    )


def _asking(cost: float, net: float, terms: SaleTerms) -> Asking:
    gross = net * (1 + terms.tax)
    fees = terms.fees * gross + terms.fee_a_bar
    left = net - cost - fees
    pays = None if terms.wholesale is None else net * (1 - terms.wholesale)
    leaves = None if pays is None else pays - cost
    return Asking(cost, left / net if net else 0.0, net, gross, left, fees, pays, leaves)


def _negative(terms: SaleTerms) -> bool:
    return min(terms.tax, terms.fees, terms.fee_a_bar, terms.wholesale or 0.0) < 0
