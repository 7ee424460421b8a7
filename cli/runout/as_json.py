"""How a stock is used up, as JSON."""

from typing import TYPE_CHECKING

from ...solver.cheapest.cheapest import Refusal
from ...solver.nearest.nearest import Near
from ..change.as_json import near_form
from ..kit.as_json import units

if TYPE_CHECKING:
    from ...constraints.bench.wish import Start
    from ...constraints.model.brief import Bench
    from ...workshop.changing.runout import Runout


def runout_form(start: "Start", plan: "Runout") -> dict[str, object]:
    """The answer of ``runout``; masses in kg."""
    bench = start.bench
    return {
        "product": bench.brief.name,
        "units": {**units(bench), "mass": "kg"},
        "old": plan.old,
        "new": list(start.wanted),
        "stock": plan.stock,
        "batch": plan.batch,
        "each": plan.each,
        "whole_batches": plan.whole,
        "rest": plan.rest,
        "rest_can_be_weighed": plan.weighable,
        "mixed": _form(bench, plan.mixed),
        "after": _form(bench, plan.after),
    }


def _form(bench: "Bench", found: Near | Refusal | None) -> dict[str, object] | None:
    if isinstance(found, Refusal):
        return {"status": type(found.outcome).__name__.lower()}
    return None if found is None else {"status": "nearest", **near_form(bench, found)}
