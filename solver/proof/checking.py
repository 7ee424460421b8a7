"""What every certificate is checked by, whether of one program or of one for each cell."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from ..program.outcome import Program
from .duality import Ending, Grid, Leaf, Tree, breach_of, leaves, on_grid, sound, tree_bound
from .form import RejectionError, keyed, rational_of


@dataclass(frozen=True, slots=True)
class Shown:
    """What a tree of multipliers shows of a program.

    Args:
        grid: the program, exactly.
        tree: the multipliers.
        bound: what every point costs at least; ``None`` where there is no point.
    """

    grid: Grid
    tree: Tree
    bound: Fraction | None

    @property
    def breach(self) -> Fraction:
        """By how much every point misses something, in the leaf that shows it least."""
        return min(breach_of(self.grid, *part) for part in leaves(self.grid, self.tree))


def shown_by(program: Program, tree: Tree) -> Shown:
    """What a tree shows of a program, by adding up alone.

    Raises:
        RejectionError: when the program is none, or the tree shows nothing of it.
    """
    fault = sound(program)
    if fault:
        raise RejectionError(fault)
    grid = on_grid(program)
    for leaf in (node for node in tree if isinstance(node, Leaf)):
        if len(leaf.y) != (0 if leaf.ending is Ending.CROSSED else len(grid.rows)):
            raise RejectionError("tree: one multiplier for each row expected")
    try:
        return Shown(grid, tree, tree_bound(grid, tree))
    except ValueError as slip:
        raise RejectionError(f"tree: {slip}") from slip


def check_refusal(answer: object, shown: Iterable[Shown]) -> None:
    """See that an answer which says that there is no point is right.

    Raises:
        RejectionError: when it is not.
    """
    said = rational_of(keyed(answer, "breach")["breach"])
    parts = tuple(shown)
    if any(part.bound is not None for part in parts):
        raise RejectionError("tree: a leaf is not shown to be empty")
    if said != min(part.breach for part in parts):
        raise RejectionError("breach: not what the multipliers show")
