"""Exact proof of an answer, from its basis or its point, and never by the solver that found it.

A float solver's word is taken as a hint only. The optimum is solved again in exact rationals, and
what is handed back has been re-checked by weak duality alone (``duality``), so that a slip in
the pivots could cost a proof but never make a false one. With whole-number columns the proof
covers a tree of choices: every leaf carries multipliers that bound its cost or show it empty.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from heapq import heappop, heappush
from math import floor

from ..program.deadline import NEVER, TIME_RAN_OUT, Deadline
from ..program.outcome import Basis, Optimal, Program
from .duality import (
    Ending,
    Grid,
    Leaf,
    Split,
    Tree,
    breach_of,
    broken,
    cost_of,
    leaves,
    on_grid,
    sound,
    tree_bound,
)
from .exact import Stand, point, stand_from_basis, stand_from_point
from .optimum import End, Kind
from .scaled import Box, Exact, exact_program, narrowed
from .simplex import basis_of, farkas, objective, optimise, reduced_costs, row_prices

NODES = 2000  # leaves and splits before a proof settles for a gap


@dataclass(frozen=True, slots=True)
class ProvedOptimal:
    """No composition that keeps the rows costs less.

    Args:
        cost: the exact least cost.
        x: [n] the exact point.
        tree: the proof; a single leaf for a program without whole-number columns.
        basis: the basis of ``x``, its whole-number columns held fixed.
        apart: largest difference between ``x`` and the point shown.
        excess: exact cost of the point shown, less ``cost``.
    """

    cost: Fraction
    x: tuple[Fraction, ...]
    tree: Tree
    basis: Basis
    apart: float
    excess: float

    def is_shown(self, within: float = 1e-6) -> bool:
        """Whether the point shown is this one, rounded."""
        return self.apart <= within


@dataclass(frozen=True, slots=True)
class ProvedGap:
    """The least cost lies between ``bound`` and ``cost``; the rest as in ``ProvedOptimal``."""

    cost: Fraction
    bound: Fraction
    x: tuple[Fraction, ...]
    tree: Tree
    basis: Basis
    apart: float
    excess: float


@dataclass(frozen=True, slots=True)
class ProvedInfeasible:
    """No point keeps the rows.

    Args:
        tree: the proof.
        breach: every point misses some row or bound by at least this much, or a choice; a value
            near the rounding of doubles means that only rounding keeps an answer away.
    """

    tree: Tree
    breach: Fraction


@dataclass(frozen=True, slots=True)
class Unproved:
    """Nothing is proved, and why."""

    reason: str


Proof = ProvedOptimal | ProvedGap | ProvedInfeasible | Unproved
Refusal = ProvedInfeasible | Unproved


@dataclass(frozen=True, slots=True)
class Vertex:
    """An exact optimum of a program without its whole-number demands.

    Args:
        cost: exact.
        x: [n] exact.
        y: [m] one optimal set of row prices; where the optimum is degenerate there are others.
        basis: to start again from.
    """

    cost: Fraction
    x: tuple[Fraction, ...]
    y: tuple[Fraction, ...]
    basis: Basis


@dataclass(frozen=True, slots=True)
class _Point:
    """A basis that is feasible within its box, whole numbers and all, and what it costs."""

    cost: Fraction
    box: Box
    stand: Stand


@dataclass(frozen=True, slots=True)
class _Found:
    """What a search of the choices came to; ``best`` is ``None`` where no point was met."""

    tree: Tree
    best: _Point | None
    endless: bool = False
    late: bool = False


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
    found = _search(exact, program.whole, start, best, _Limit(most_nodes, deadline))
    if found.late:
        return Unproved(TIME_RAN_OUT)
    return _judged(exact, grid, found, optimal)


def choice_of(program: Program, x: Sequence[float] | Sequence[Fraction]) -> dict[int, int]:
    """The whole numbers of a point, by column."""
    return {j: round(x[j]) for j, whole in enumerate(program.whole) if whole}


def _with_choice(
    exact: Exact, start: Stand, choice: dict[int, int], deadline: Deadline
) -> _Point | None:
    box = exact.box
    for column, value in choice.items():
        box = narrowed(box, column, value, value)
    if _crossed(box):
        return None
    end = optimise(exact, box, start, exact.costs, deadline=deadline)
    if end.kind is not Kind.OPTIMAL:
        return None
    return _at(exact, box, end.stand)


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
    limit = _Limit(most_nodes, deadline)
    stand = Stand((), ()) if start is None else stand_from_basis(free, start)
    found = _search(free, program.whole, stand, None, limit)
    if found.late:
        return Unproved(TIME_RAN_OUT)
    if found.best is not None:
        wrong = broken(grid, _x(exact, found.best))
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
    found = _search(exact, relaxed, stand, None, _Limit(1))
    if found.endless:
        return Unproved("the cost falls without end")
    leaf = found.tree[0]
    if found.best is None or not isinstance(leaf, Leaf):
        return _refusal(on_grid(program), found.tree)
    at = found.best.stand
    return Vertex(found.best.cost, _x(exact, found.best), leaf.y, basis_of(exact, at))


@dataclass(frozen=True, slots=True)
class _Limit:
    """How far a search of the choices may go."""

    most_nodes: int
    deadline: Deadline = NEVER

    def allows(self, nodes: int) -> bool:
        """Whether two more parts may be looked at."""
        return nodes + 2 <= self.most_nodes and not self.deadline.passed()


def _search(
    exact: Exact, whole: Sequence[bool], start: Stand, best: _Point | None, limit: _Limit
) -> _Found:
    """Best first over the choices; what is left open at the limit becomes a leaf with its bound."""
    nodes: dict[int, Leaf | Split] = {}
    waiting: list[tuple[Fraction, int, Box, Stand, int]] = []
    fresh: list[tuple[int, Box, Stand]] = [(0, exact.box, start)]
    above: Leaf | Split | None = None
    while fresh or waiting:
        for place, box, stand in fresh:
            end = _looked_at(exact, box, stand, best, limit.deadline)
            node = Leaf(Ending.CROSSED, ()) if end is None else _leaf(exact, end, above)
            if node is None:
                late = end is not None and end.kind is Kind.LATE
                return _Found((), None, endless=not late, late=late)
            nodes[place] = node
            if end is None or end.kind is not Kind.OPTIMAL:
                continue
            here = _at(exact, box, end.stand)
            column = _fractional(exact, whole, here)
            if column is None:
                best = here if best is None or here.cost < best.cost else best
            else:
                heappush(waiting, (here.cost, place, box, end.stand, column))
        fresh = []
        if waiting:
            cost, place, box, stand, column = heappop(waiting)
            if (best is None or cost < best.cost) and limit.allows(len(nodes)):
                above = nodes[place]
                split, fresh = _parted(exact, box, stand, column, len(nodes))
                nodes[place] = split
    return _Found(tuple(nodes[place] for place in range(len(nodes))), best)


def _looked_at(
    exact: Exact, box: Box, stand: Stand, best: _Point | None, deadline: Deadline
) -> End | None:
    """The optimum of one part, stopped early where it cannot be better; ``None`` if it is empty."""
    if _crossed(box):
        return None
    ceiling = None if best is None else best.cost
    return optimise(exact, box, stand, exact.costs, ceiling=ceiling, deadline=deadline)


def _crossed(box: Box) -> bool:
    return any(
        low is not None and high is not None and low > high
        for low, high in zip(box.lower, box.upper, strict=True)
    )


def _at(exact: Exact, box: Box, stand: Stand) -> _Point:
    reduced = reduced_costs(exact, stand, exact.costs)
    return _Point(objective(exact, box, stand, reduced), box, stand)


def _parted(
    exact: Exact, box: Box, stand: Stand, column: int, place: int
) -> tuple[Split, list[tuple[int, Box, Stand]]]:
    at = floor(point(exact, box, stand).fraction(column, box.unit))
    below = narrowed(box, column, None, at)
    above = narrowed(box, column, at + 1, None)
    return Split(column, at, place, place + 1), [
        (place, below, stand),
        (place + 1, above, stand),
    ]


def _fractional(exact: Exact, whole: Sequence[bool], here: _Point) -> int | None:
    """The whole-number column furthest from a whole number."""
    values = point(exact, here.box, here.stand)
    worst, column = Fraction(0), None
    for j, is_whole in enumerate(whole):
        if is_whole:  # a resting one too: its bound need not be a whole number
            part = values.fraction(j, here.box.unit) % 1
            if min(part, 1 - part) > worst:
                worst, column = min(part, 1 - part), j
    return column


def _leaf(exact: Exact, end: End, above: Leaf | Split | None) -> Leaf | Split | None:
    """What a part ended on; where time ran out, what is known of the whole holds of its part."""
    if end.kind is Kind.UNBOUNDED:
        return None
    if end.kind is Kind.LATE:
        return above
    if end.kind is Kind.EMPTY and end.stuck is not None:
        return Leaf(Ending.EMPTY, row_prices(exact, farkas(exact, end.stuck, end.stand), 1))
    reduced = reduced_costs(exact, end.stand, exact.costs)
    return Leaf(Ending.BOUND, row_prices(exact, reduced, exact.cost_scale))


def _x(exact: Exact, at: _Point) -> tuple[Fraction, ...]:
    values = point(exact, at.box, at.stand)
    return tuple(values.fraction(j, at.box.unit) for j in range(exact.width))


def _judged(exact: Exact, grid: Grid, found: _Found, shown: Optimal) -> Proof:
    """A search's result, after weak duality has been asked whether it is so."""
    if found.endless:
        return Unproved("the cost falls without end")
    if found.best is None:
        return _refusal(grid, found.tree)
    x = _x(exact, found.best)
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
