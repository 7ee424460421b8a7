"""What cells cover together."""

from ...constraints.acidity.cell import Cell
from ..proof.form import (
    RejectionError,
)

MOST_HALVINGS = 60
"""So often, one inside the other, are cells halved at most."""


def covered_by(cells: tuple[Cell, ...]) -> Cell:
    """What cells cover together, if halving that over and over gives just these."""
    whole = Cell(
        (min(cell.ph[0] for cell in cells), max(cell.ph[1] for cell in cells)),
        (min(cell.salt[0] for cell in cells), max(cell.salt[1] for cell in cells)),
    )
    left = set(cells)
    if len(left) < len(cells):
        raise RejectionError("cells: some are there twice")
    waiting = [(whole, 0)]
    while waiting:
        cell, depth = waiting.pop()
        if cell in left:
            left.remove(cell)
        elif depth < MOST_HALVINGS and len(waiting) <= len(cells):
            waiting += [(half, depth + 1) for half in cell.halves]
        else:
            raise RejectionError("cells: some pH or ionic strength is left out")
    if left:
        raise RejectionError("cells: some are there twice")
    return whole
