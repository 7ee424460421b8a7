"""The batches of a plan weighed out, each as a sheet for the bench."""

from collections.abc import Iterator

from ...constraints.model.brief import Bench
from ..batch.batch import batch
from ..batch.lines import Batch, Refused
from .needs import Plan
from .order import Planned


def sheets(plan: Plan) -> Iterator[tuple[Planned, Batch | Refused]]:
    """Every batch of a plan as it is weighed out, or why it cannot be, in the order of the plan.

    What the plan orders counts as there. Batches alike are weighed out once.
    """
    made: dict[tuple[str, int, int, float], Batch | Refused] = {}
    benches: dict[str, Bench] = {}
    for one in plan.batches:
        key = (one.bench.folder, id(one.composition), one.bars, one.fill)
        if one.bench.folder not in benches:
            benches[one.bench.folder] = _stocked(one.bench, plan)
        if key not in made:
            bench = benches[one.bench.folder]
            made[key] = batch(bench, one.composition, one.bars, one.fill)
        yield one, made[key]


def _stocked(bench: Bench, plan: Plan) -> Bench:
    """A bench with what the plan orders on its shelf."""
    for need in plan.needs:
        if need.ordered and need.material in bench.material_names:
            bench = bench.with_stock(need.material, (need.there or 0.0) + need.ordered)
    return bench
