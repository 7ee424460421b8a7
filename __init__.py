"""barwright: the cheapest composition of a solid shampoo bar that keeps every rule of the trade.

The commands are thin faces on the calls below. A name is loaded when it is first asked for, so that
importing the package costs next to nothing.

    >>> import barwright
    >>> found = barwright.read_bench("no/such/folder")
    >>> type(found).__name__
    'Problems'
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from barwright.constraints.bench.reading import read_bench, read_formula
    from barwright.constraints.bench.writing import formula_text, write_atomically
    from barwright.constraints.model.brief import Bench, Brief, Composition
    from barwright.constraints.model.contents import contents_of
    from barwright.constraints.model.material import Material
    from barwright.constraints.model.row import Row, Rows
    from barwright.constraints.model.substance import Substance
    from barwright.constraints.model.verdict import Verdict
    from barwright.constraints.rules.judging import judge
    from barwright.constraints.rules.rows import rows_of
    from barwright.constraints.values.problem import Problem, Problems
    from barwright.solver.cheapest.cheapest import Finding, Refusal, cheapest
    from barwright.solver.choices.alternatives import alternatives
    from barwright.solver.choices.choices import other_choices
    from barwright.solver.infeasible.reasons import reasons
    from barwright.solver.nearest.family import family
    from barwright.solver.nearest.frontier import frontier
    from barwright.solver.nearest.nearest import nearest
    from barwright.solver.prices.sensitivity import limit_curve, price_curve, sensitivity
    from barwright.solver.proof.certificate import certificate, verify
    from barwright.solver.proof.proof import prove
    from barwright.workshop.acid.answer import acidity
    from barwright.workshop.batch.batch import batch
    from barwright.workshop.changing.comparison import compare
    from barwright.workshop.changing.replacing import replaced
    from barwright.workshop.changing.runout import run_out
    from barwright.workshop.fill.fill import fill
    from barwright.workshop.label.label import label
    from barwright.workshop.price.pricing import costing
    from barwright.workshop.weighing.weighing import weigh

_HOMES = {
    "Bench": "constraints.model.brief",
    "Brief": "constraints.model.brief",
    "Composition": "constraints.model.brief",
    "Finding": "solver.cheapest.cheapest",
    "Material": "constraints.model.material",
    "Problem": "constraints.values.problem",
    "Problems": "constraints.values.problem",
    "Refusal": "solver.cheapest.cheapest",
    "Row": "constraints.model.row",
    "Rows": "constraints.model.row",
    "Substance": "constraints.model.substance",
    "Verdict": "constraints.model.verdict",
    "acidity": "workshop.acid.answer",
    "alternatives": "solver.choices.alternatives",
    "batch": "workshop.batch.batch",
    "certificate": "solver.proof.certificate",
    "cheapest": "solver.cheapest.cheapest",
    "compare": "workshop.changing.comparison",
    "contents_of": "constraints.model.contents",
    "costing": "workshop.price.pricing",
    "family": "solver.nearest.family",
    "fill": "workshop.fill.fill",
    "formula_text": "constraints.bench.writing",
    "frontier": "solver.nearest.frontier",
    "judge": "constraints.rules.judging",
    "label": "workshop.label.label",
    "limit_curve": "solver.prices.sensitivity",
    "nearest": "solver.nearest.nearest",
    "other_choices": "solver.choices.choices",
    "price_curve": "solver.prices.sensitivity",
    "prove": "solver.proof.proof",
    "read_bench": "constraints.bench.reading",
    "read_formula": "constraints.bench.reading",
    "reasons": "solver.infeasible.reasons",
    "replaced": "workshop.changing.replacing",
    "rows_of": "constraints.rules.rows",
    "run_out": "workshop.changing.runout",
    "sensitivity": "solver.prices.sensitivity",
    "verify": "solver.proof.certificate",
    "weigh": "workshop.weighing.weighing",
    "write_atomically": "constraints.bench.writing",
}

__all__ = [
    "Bench",
    "Brief",
    "Composition",
    "Finding",
    "Material",
    "Problem",
    "Problems",
    "Refusal",
    "Row",
    "Rows",
    "Substance",
    "Verdict",
    "acidity",
    "alternatives",
    "batch",
    "certificate",
    "cheapest",
    "compare",
    "contents_of",
    "costing",
    "family",
    "fill",
    "formula_text",
    "frontier",
    "judge",
    "label",
    "limit_curve",
    "nearest",
    "other_choices",
    "price_curve",
    "prove",
    "read_bench",
    "read_formula",
    "reasons",
    "replaced",
    "rows_of",
    "run_out",
    "sensitivity",
    "verify",
    "weigh",
    "write_atomically",
]


def __getattr__(name: str) -> Any:
    home = _HOMES.get(name)
    if home is None:
        message = f"module {__name__!r} has no attribute {name!r}"
        raise AttributeError(message)
    import importlib

    value = getattr(importlib.import_module(f"barwright.{home}"), name)
    globals()[name] = value  # asked once, found at once ever after
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
