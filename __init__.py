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
    from barwright.constraints.brief import Bench, Brief, Composition
    from barwright.constraints.material import Material
    from barwright.constraints.problem import Problem, Problems
    from barwright.constraints.reading import read_bench, read_formula
    from barwright.constraints.row import Row, Rows, rows_of
    from barwright.constraints.substance import Substance
    from barwright.constraints.verdict import Verdict, judge
    from barwright.solver.cheapest import Finding, Refusal, cheapest

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
    "cheapest": "solver.cheapest",
    "judge": "constraints.verdict",
    "read_bench": "constraints.reading",
    "read_formula": "constraints.reading",
    "rows_of": "constraints.row",
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
    "cheapest",
    "judge",
    "read_bench",
    "read_formula",
    "rows_of",
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
