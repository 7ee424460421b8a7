"""Costs and prices as JSON."""

from ...constraints.model.brief import Bench
from ...workshop.price.pricing import Asking, Costing
from ..costing.as_json import costing_form


def price_form(
    bench: Bench,
    formula: str,
    *,
    pressed: float,
    mix: float,
    costs: Costing,
    prices: tuple[Asking, ...],
) -> dict[str, object]:
    """Costs and prices as JSON."""
    return {
        "product": bench.brief.name,
        "formula": formula,
        "units": {"mass": "kg", "money": bench.brief.currency, "margin": "share of the net price"},
        "press": pressed,
        "mix": mix,
        **costing_form(costs),
        "prices": [
            {
                "margin": price.margin,
                "net": price.net,
                "gross": price.gross,
                "left": price.left,
            }
            for price in prices
        ],
    }
