"""Cells that a search is done with, and what it came to."""

from collections.abc import Callable
from dataclasses import dataclass

from ...constraints.acidity.cell import Cell
from ...constraints.model.row import Rows
from ..program.outcome import Outcome, Program

Written = Callable[[Rows], Program]
"""Rows with costs and bounds, as a program."""


@dataclass(frozen=True, slots=True)
class Part:
    """A cell that needs no further look.

    Args:
        cell: of pH and ionic strength.
        bound: what the solver says that any composition inside costs at least; ``inf`` where it
            says that there is none.
        outcome: what it said of the cell's outer rows.
    """

    cell: Cell
    bound: float
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Sought:
    """What a search came to.

    Args:
        outcome: the best point that keeps the rules at its own pH and ionic strength, or why none.
        rows: the rows it was found with; of a refusal, outer rows of all that the model is trusted
            for, or where no single cell refuses, rows at one ionic strength.
        program: these rows as a program.
        parts: cells that together are all that the model is trusted for; empty in a brief that
            says nothing of pH.
    """

    outcome: Outcome
    rows: Rows
    program: Program
    parts: tuple[Part, ...]
