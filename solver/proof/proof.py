"""Exact proof of an answer, from its basis or its point, and never by the solver that found it.

A float solver's word is taken as a hint only. The optimum is solved again in exact rationals, and
what is handed back has been re-checked by weak duality alone (``duality``), so that a slip in
the pivots could cost a proof but never make a false one. With whole-number columns the proof
covers a tree of choices: every leaf carries multipliers that bound its cost or show it empty.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ..program.deadline import NEVER, TIME_RAN_OUT, Deadline
from ..program.outcome import Basis, Optimal, Program
from .branching import (
    Feasible,
    Limit,
    Searched,
    branch_and_bound,
    crossed,
    exact_point,
    feasible_at,
)
from .duality import (
    Grid,
    Leaf,
    Tree,
    breach_of,
    broken,
    cost_of,
    leaves,
    on_grid,
    sound,
    tree_bound,
)
from .exact import Stand, stand_from_basis, stand_from_point
from .optimum import Kind
from .proved import Proof, ProvedGap, ProvedInfeasible, ProvedOptimal, Refusal, Unproved, Vertex
from .scaled import Exact, exact_program, narrowed
from .simplex import basis_of, optimise

NODES = 2000  # leaves and splits before a proof settles for a gap


def prove(
    program: Program, optimal: Optimal, most_nodes: int = NODES, deadline: Deadline = NEVER
) -> Proof:
    """Prove the answer of a float solver exactly, or say what it is worth.

    Args:
        program: the program; its numbers count as exactly the decimals they print as.
        optimal: the answer; a wrong basis or point costs time, never truth.
        most_nodes: parts of the choice tree to look at before settling for a gap.
        deadline: when to settle for one.
    """
    if deadline.passed():
        return Unproved(TIME_RAN_OUT)
    wrong = sound(program)
    if wrong:
        return Unproved(wrong)
    exact, grid = exact_program(program), on_grid(program)
    start = (
        stand_from_point(exact, optimal.x)
        if optimal.basis is None
        else stand_from_basis(exact, optimal.basis)
    )
    best = None
    if any(program.whole):
        best = _with_choice(exact, start, choice_of(program, optimal.x), deadline)
        start = start if best is None else best.stand
    found = branch_and_bound(exact, program.whole, start, best, Limit(most_nodes, deadline))
    if found.late:
        return Unproved(TIME_RAN_OUT)
    return _judged(exact, grid, found, optimal)


def choice_of(program: Program, x: Sequence[float] | Sequence[Fraction]) -> dict[int, int]:
    """The whole numbers of a point, by column."""
    return {j: round(x[j]) for j, whole in enumerate(program.whole) if whole}


def _with_choice(
    exact: Exact, start: Stand, choice: dict[int, int], deadline: Deadline
) -> Feasible | None:
    box = exact.box
    for column, value in choice.items():
        box = narrowed(box, column, value, value)
    if crossed(box):
        return None
    end = optimise(exact, box, start, exact.costs, deadline=deadline)
    if end.kind is not Kind.OPTIMAL:
        return None
    return feasible_at(exact, box, end.stand)


def prove_infeasible(
    program: Program,
    most_nodes: int = NODES,
    deadline: Deadline = NEVER,
    *,
    start: Basis | None = None,
) -> Refusal:
    """Prove that no point keeps the rows, by Farkas multipliers for every part of the choices.

    Args:
        program: the program; its numbers count as exactly the decimals they print as.
        most_nodes: parts of the choice tree to look at before giving up.
        deadline: when to give up.
        start: where a float solver ended; a wrong one costs time, never truth.
    """
    if deadline.passed():
        return Unproved(TIME_RAN_OUT)
    wrong = sound(program)
    if wrong:
        return Unproved(wrong)
    exact, grid = exact_program(program), on_grid(program)
    free = replace(exact, costs=(0,) * len(exact.costs))
    limit = Limit(most_nodes, deadline)
    stand = Stand((), ()) if start is None else stand_from_basis(free, start)
    found = branch_and_bound(free, program.whole, stand, None, limit)
    if found.late:
        return Unproved(TIME_RAN_OUT)
    if found.best is not None:
        wrong = broken(grid, exact_point(exact, found.best))
        return Unproved(f"the re-check failed: {wrong}" if wrong else "a point keeps every row")
    refusal = _refusal(grid, found.tree)
    late = deadline.passed() and isinstance(refusal, Unproved)
    return Unproved(TIME_RAN_OUT) if late else refusal


def resolve(program: Program, basis: Basis | None) -> Vertex | Refusal:
    """The exact optimum by pivots from a basis of the same or a neighbouring program.

    Whole-number demands are left aside: fix such columns by their bounds.
    """
    wrong = sound(program)
    if wrong:
        return Unproved(wrong)
    exact = exact_program(program)
    stand = Stand((), ()) if basis is None else stand_from_basis(exact, basis)
    relaxed = (False,) * len(program.costs)
    found = branch_and_bound(exact, relaxed, stand, None, Limit(1))
    if found.endless:
        return Unproved("the cost falls without end")
    leaf = found.tree[0]
    if found.best is None or not isinstance(leaf, Leaf):
        return _refusal(on_grid(program), found.tree)
    at = found.best.stand
    return Vertex(found.best.cost, exact_point(exact, found.best), leaf.y, basis_of(exact, at))


def _judged(exact: Exact, grid: Grid, found: Searched, shown: Optimal) -> Proof:
    """A search's result, after weak duality has been asked whether it is so."""
    if found.endless:
        return Unproved("the cost falls without end")
    if found.best is None:
        return _refusal(grid, found.tree)
    x = exact_point(exact, found.best)
    try:
        bound = tree_bound(grid, found.tree)
    except ValueError as slip:
        return Unproved(f"the re-check failed: {slip}")
    cost, wrong = cost_of(grid, x), broken(grid, x)
    if wrong or bound is None or bound > cost:
        return Unproved(f"the re-check failed: {wrong or 'bound and cost do not meet'}")
    apart = max((abs(float(v - Fraction(s))) for v, s in zip(x, shown.x, strict=True)), default=0.0)
    excess = float(cost_of(grid, tuple(map(Fraction, shown.x))) - cost)
    basis = basis_of(exact, found.best.stand)
    if bound < cost:
        return ProvedGap(cost, bound, x, found.tree, basis, apart, excess)
    return ProvedOptimal(cost, x, found.tree, basis, apart, excess)


def _refusal(grid: Grid, tree: Tree) -> Refusal:
    try:
        bound = tree_bound(grid, tree)
    except ValueError as slip:
        return Unproved(f"the re-check failed: {slip}")
    if bound is not None:
        return Unproved("not settled within the parts of the choices allowed")
    return ProvedInfeasible(tree, min(breach_of(grid, *part) for part in leaves(grid, tree)))
