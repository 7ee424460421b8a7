"""Exact proof of what a search over cells came to, each cell by its own multipliers.

A cell's outer rows hold for every composition with a pH and an ionic strength inside it, so what is
proved of the rows is proved of the compositions. The cells together are all that the model of
acidity is trusted for; of what lies beyond, nothing is said.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ...constraints.acidity.cell import Cell
from ...constraints.model.brief import Bench
from ...constraints.rules.outer import outer_rows
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Infeasible, Optimal, Program, exactly
from ..program.session import stuck_at
from ..proof.duality import Tree
from ..proof.proof import prove, prove_infeasible
from ..proof.proved import ProvedGap, ProvedInfeasible, ProvedOptimal, Unproved
from .parts import Part, Written
from .search import least_needed


@dataclass(frozen=True, slots=True)
class ProvedCell:
    """What every composition in a cell costs at least.

    Args:
        cell: of pH and ionic strength.
        program: its outer rows with costs and bounds.
        tree: the proof.
        bound: the least cost; ``None`` where the tree shows that there is no composition.
        breach: where there is none, by how much every point misses some row; else 0.
    """

    cell: Cell
    program: Program
    tree: Tree
    bound: Fraction | None
    breach: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class ProvedWithin:
    """No composition that the model is trusted for costs less than ``bound``.

    Args:
        cells: which together are all that it is trusted for.
        x: [n] the point shown, each number the decimal it prints as.
        cost: of that point.
        bound: the least over the cells; ``None`` where none of them has a composition.
    """

    cells: tuple[ProvedCell, ...]
    x: tuple[float, ...]
    cost: Fraction
    bound: Fraction

    @property
    def gap(self) -> float:
        """What a composition could cost less than the one shown [money/kg]; 0 where nothing."""
        return max(float(self.cost - self.bound), 0.0)

    @property
    def is_close(self) -> bool:
        """Whether that is too little to matter."""
        return float(self.bound) >= least_needed(float(self.cost))


@dataclass(frozen=True, slots=True)
class ProvedNowhere:
    """No composition that the model is trusted for keeps the rules.

    Args:
        cells: which together are all that it is trusted for, none with a composition.
        breach: the least of theirs.
    """

    cells: tuple[ProvedCell, ...]
    breach: Fraction


def prove_within(
    bench: Bench,
    written: Written,
    parts: Sequence[Part],
    shown: Optimal,
    deadline: Deadline = NEVER,
) -> ProvedWithin | Unproved:
    """Prove that hardly any composition costs less than the one shown, whatever its salt.

    Args:
        bench: what was read.
        written: turns rows into the program that was solved.
        parts: cells, as the search left them.
        shown: the answer.
        deadline: when to leave it unproved.
    """
    cells = _cells(bench, written, parts, deadline)
    if isinstance(cells, Unproved):
        return cells
    bounds = [cell.bound for cell in cells if cell.bound is not None]
    costs = cells[0].program.costs
    cost = sum((exactly(c) * exactly(v) for c, v in zip(costs, shown.x, strict=True)), Fraction(0))
    if not bounds:
        return Unproved("to the last digit the rules leave no composition")
    bound = min(bounds)
    if least_needed(float(bound)) > float(cost):
        return Unproved("the composition leans on rounding: kept to the letter the rules cost more")
    return ProvedWithin(cells, shown.x, cost, bound)


def prove_nowhere(
    bench: Bench, written: Written, parts: Sequence[Part], deadline: Deadline = NEVER
) -> ProvedNowhere | Unproved:
    """Prove that no composition keeps the rules, whatever its salt."""
    cells = _cells(bench, written, parts, deadline)
    if isinstance(cells, Unproved):
        return cells
    if any(cell.bound is not None for cell in cells):
        return Unproved("not settled for every ionic strength")
    return ProvedNowhere(cells, min(cell.breach for cell in cells))


def _cells(
    bench: Bench, written: Written, parts: Sequence[Part], deadline: Deadline
) -> tuple[ProvedCell, ...] | Unproved:
    cells = []
    for part in parts:
        proved = _cell(bench, written, part, deadline)
        if isinstance(proved, Unproved):
            return proved
        cells.append(proved)
    return tuple(cells)


def _cell(bench: Bench, written: Written, part: Part, deadline: Deadline) -> ProvedCell | Unproved:
    program = written(outer_rows(bench, part.cell))
    if isinstance(part.outcome, Infeasible):
        start = stuck_at(program, deadline)
        proof: ProvedOptimal | ProvedGap | ProvedInfeasible | Unproved = prove_infeasible(
            program, deadline=deadline, start=start
        )
    elif isinstance(part.outcome, Optimal):
        proof = prove(program, part.outcome, deadline=deadline)
    else:
        return Unproved("a part was not settled in time")
    if isinstance(proof, Unproved):
        return proof
    if isinstance(proof, ProvedInfeasible):
        return ProvedCell(part.cell, program, proof.tree, None, proof.breach)
    bound = proof.bound if isinstance(proof, ProvedGap) else proof.cost
    return ProvedCell(part.cell, program, proof.tree, bound)
