"""Bars changed alike, as JSON."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...solver.nearest.family import Family
from ..change.as_json import forced_form, near_form
from ..kit.as_json import units

if TYPE_CHECKING:
    from ...constraints.bench.wish import Start
    from ...solver.nearest.one_change import Base


def family_form(start: "Start", found: Family) -> dict[str, object]:
    """The answer as JSON: every base with its bars, in the order of the formulas."""

    def forms(bases: Sequence["Base"]) -> list[dict[str, object]]:
        return [
            {
                "bars": [
                    {
                        "formula": start.formulas[place].name,
                        "place": place,
                        "scale": scale,
                        **near_form(start.bench, bar),
                    }
                    for place, scale, bar in zip(base.places, base.scales, base.bars, strict=True)
                ],
                "forced": forced_form(base.forced),
            }
            for base in bases
        ]

    return {
        "product": start.bench.brief.name,
        "status": "nearest",
        "units": units(start.bench),
        "shared": list(found.shared),
        "changes": forms(found.bases),
        "each_by_itself": forms(found.apart),
        "cut_short": found.cut,
    }
