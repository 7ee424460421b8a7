"""The fill as JSON."""

from ...constraints.model.brief import Bench
from ...workshop.fill.fill import Fill


def fill_form(bench: Bench, found: Fill) -> dict[str, object]:
    """The fill as JSON."""
    return {
        "product": bench.brief.name,
        "units": {"mass": "kg", "money": f"{bench.brief.currency} a year"},
        "market": found.market,
        "bars": found.bars,
        "risk": found.risk,
        "declared": found.declared,
        "press": found.set_to,
        "least": found.pressed,
        "demands": [
            {
                "demand": demand.name.lower(),
                "press_at_least": mass,
                "decides": demand is found.binding,
            }
            for demand, mass in found.needed.items()
        ],
        "tolerable_shortfall": found.tolerable_shortfall,
        "spread": found.spread.deviation,
        "weighings": found.spread.weighings,
        "degrees_of_freedom": found.spread.freedom,
        "for_doubt": found.for_doubt,
        "given_away": found.given_away,
        "given_away_a_year": found.given_away_a_year,
        "flat": found.flat,
        "flat_misses": [demand.name.lower() for demand in found.flat_breaks],
        "saved_a_bar": found.saved_a_bar,
        "saved_a_year": found.saved_a_year,
    }
