"""What many scenarios come to, as JSON."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...constraints.model.brief import Bench
    from ...solver.scenarios.along import Along
    from ...solver.scenarios.summary import Summary


def summary_form(bench: "Bench", found: "Summary") -> Mapping[str, object]:
    """Costs, who is in, and what becomes of the formula that is held."""
    from ...solver.scenarios.quantiles import QUANTILES

    return {
        "product": bench.brief.name,
        "units": {"cost": f"{bench.brief.currency} per kg of mix", "share": "kg per kg of mix"},
        "scenarios": found.count,
        "undone": found.asked - found.count,
        "without_composition": found.none,
        "not_told": found.untold,
        "held_cannot_be_made": found.unmade,
        "held_breaks_a_rule": found.breaks,
        "held_breaks": [{"rule": rule, "scenarios": count} for rule, count in found.broken.items()],
        "quantiles": list(QUANTILES),
        "costs": list(found.costs),
        "held": list(found.held),
        "regret": list(found.regret),
        "solved_from_cold": found.anew,
        "materials_with_lots": found.lots,
        "along": [_along_form(one) for one in found.along],
        "materials": [
            {
                "material": one.material,
                "used": one.used,
                "low": one.low,
                "high": one.high,
                "in_up_to": one.in_up_to,
                "out_from": one.out_from,
            }
            for one in found.standings
        ],
    }


def _along_form(along: "Along") -> Mapping[str, object]:
    return {
        "rule": None if along.varied.side is None else along.varied.about,
        "side": along.varied.side,
        "price": along.varied.about if along.varied.side is None else None,
        "stretches": [
            {
                "from": one.low,
                "to": one.high,
                "scenarios": one.count,
                "without_composition": one.none,
                "costs": list(one.costs),
            }
            for one in along.stretches
        ],
        "switches": [
            {
                "material": one.material,
                "in_from": one.within[0],
                "in_to": one.within[1],
                "out_from": one.without[0],
                "out_to": one.without[1],
            }
            for one in along.switches
        ],
    }
