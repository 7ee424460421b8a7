"""Costs and prices as JSON."""

from dataclasses import asdict

from ...constraints.model.brief import Bench
from ...workshop.price.price import Priced
from ..costing.as_json import costing_form


def price_form(bench: Bench, found: Priced) -> dict[str, object]:
    """Costs and prices as JSON."""
    return {
        "product": bench.brief.name,
        "formula": found.formula,
        "units": {"mass": "kg", "money": bench.brief.currency, "margin": "share of the net price"},
        "press": found.pressed,
        "mix": found.mix,
        "broken": [one.rule.id for one in found.broken],
        **costing_form(found.costs),
        "terms": asdict(found.terms),
        "prices": [
            {
                "margin": one.margin,
                "net": one.net,
                "gross": one.gross,
                "left": one.left,
                "fees": one.fees,
                "shop_pays": one.shop_pays,
                "shop_leaves": one.shop_leaves,
            }
            for one in found.prices
        ],
    }
