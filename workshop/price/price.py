"""What a composition costs as bars, and what to ask for them: one question, one answer."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge
from ...constraints.values.problem import refuse
from ...constraints.values.told import Told
from ..fill.fill import Fill
from ..fill.portion import portion
from ..fill.size import batch_mass
from .asking import Asking, SaleTerms, leaves_room, margin_at, price_list, terms_of
from .beside import Beside, beside_of
from .pricing import Costing, costing

MARGINS = (0.3, 0.4, 0.5, 0.6, 0.7)
"""The price list's rows where no margin is asked for."""


@dataclass(frozen=True, slots=True, repr=False)
class Priced(Told):
    """What bars cost and what to ask.

    Args:
        formula: name of the composition.
        pressed: mass of a portion [kg].
        mix: that the batch takes [kg].
        costs: of the batch, a bar and a wash.
        terms: on which they are sold.
        prices: cheapest first.
        broken: what the rules say that the composition does not keep for certain.
        fill: why so much is pressed; ``None`` where it was asked for.
    """

    formula: str
    pressed: float
    mix: float
    costs: Costing
    terms: SaleTerms
    prices: tuple[Asking, ...]
    broken: tuple[Verdict, ...]
    fill: Fill | None


def price(
    bench: Bench,
    composition: Composition,
    bars: int,
    *,
    fill: float | None = None,
    beside: Beside | None = None,
    terms: SaleTerms | None = None,
    margins: Sequence[float] | None = None,
    at: Sequence[float] = (),
) -> Priced:
    """Cost bars of a composition and list prices.

    Args:
        bench: prices, packs, and what its workshop says of packaging, labour, rejects and fees.
        composition: what is made; one that breaks rules is priced too, and says so.
        bars: in the batch.
        fill: mass of a portion [kg]; by default the least that the markets of the brief allow.
        beside: packaging, labour and rejects; by default as the brief says.
        terms: tax, fees and wholesale; by default as the brief says.
        margins: of the net price, below 1; by default the usual ones that fees leave room for.
        at: prices with tax, of which it is asked what they leave [money].

    Raises:
        InputError: when no portion can be worked out, or it is nothing.
        KeyError: when a material of the composition is not on the shelf.
        ValueError: for less than one bar, or where no price leaves a margin.
    """
    pressed, why = portion(bench, bars, fill)
    if not pressed > 0:
        refuse("fill", "a bar of nothing", "a mass such as 62 g")
    mix = batch_mass(bench, composition, bars, pressed)
    costs = costing(bench, _masses(composition, mix), bars, beside or beside_of(bench))
    sold = terms or terms_of(bench)
    wanted = [one for one in MARGINS if leaves_room(one, sold)] if margins is None else margins
    asked = (
        *price_list(costs.a_bar, wanted, sold),
        *(margin_at(costs.a_bar, gross, sold) for gross in at),
    )
    return Priced(
        formula=composition.name,
        pressed=pressed,
        mix=mix,
        costs=costs,
        terms=sold,
        prices=tuple(sorted(asked, key=lambda one: one.gross)),
        broken=tuple(one for one in judge(bench, composition) if not one.kept),
        fill=why,
    )


def _masses(composition: Composition, mix: float) -> Mapping[str, float]:
    return {name: share * mix for name, share in composition.parts.items() if share > 0}
