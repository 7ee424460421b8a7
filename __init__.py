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
    from barwright.constraints.acid_answer import acidity
    from barwright.constraints.brief import Bench, Brief, Composition
    from barwright.constraints.contents import contents_of
    from barwright.constraints.material import Material
    from barwright.constraints.problem import Problem, Problems
    from barwright.constraints.reading import read_bench, read_formula
    from barwright.constraints.row import Row, Rows, rows_of
    from barwright.constraints.substance import Substance
    from barwright.constraints.verdict import Verdict, judge
    from barwright.constraints.writing import formula_text, write_atomically
    from barwright.solver.alternatives import alternatives
    from barwright.solver.certificate import certificate, verify
    from barwright.solver.cheapest import Finding, Refusal, cheapest
    from barwright.solver.choices import other_choices
    from barwright.solver.family import family
    from barwright.solver.frontier import frontier
    from barwright.solver.nearest import nearest
    from barwright.solver.proof import prove
    from barwright.solver.refusal import reasons
    from barwright.solver.sensitivity import limit_curve, price_curve, sensitivity
    from barwright.workshop.batch import batch
    from barwright.workshop.comparison import compare
    from barwright.workshop.fill import fill
    from barwright.workshop.label import label
    from barwright.workshop.pricing import costing
    from barwright.workshop.replacing import replaced
    from barwright.workshop.runout import run_out
    from barwright.workshop.weighing import weigh

_HOMES = {
    "Bench": "constraints.brief",
    "Brief": "constraints.brief",
    "Composition": "constraints.brief",
    "Finding": "solver.cheapest",
    "Material": "constraints.material",
    "Problem": "constraints.problem",
    "Problems": "constraints.problem",
    "Refusal": "solver.cheapest",
    "Row": "constraints.row",
    "Rows": "constraints.row",
    "Substance": "constraints.substance",
    "Verdict": "constraints.verdict",
    "acidity": "constraints.acid_answer",
    "alternatives": "solver.alternatives",
    "batch": "workshop.batch",
    "certificate": "solver.certificate",
    "cheapest": "solver.cheapest",
    "compare": "workshop.comparison",
    "contents_of": "constraints.contents",
    "costing": "workshop.pricing",
    "family": "solver.family",
    "fill": "workshop.fill",
    "formula_text": "constraints.writing",
    "frontier": "solver.frontier",
    "judge": "constraints.verdict",
    "label": "workshop.label",
    "limit_curve": "solver.sensitivity",
    "nearest": "solver.nearest",
    "other_choices": "solver.choices",
    "price_curve": "solver.sensitivity",
    "prove": "solver.proof",
    "read_bench": "constraints.reading",
    "read_formula": "constraints.reading",
    "reasons": "solver.refusal",
    "replaced": "workshop.replacing",
    "rows_of": "constraints.row",
    "run_out": "workshop.runout",
    "sensitivity": "solver.sensitivity",
    "verify": "solver.certificate",
    "weigh": "workshop.weighing",
    "write_atomically": "constraints.writing",
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
