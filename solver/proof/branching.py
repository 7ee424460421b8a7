"""Branch and bound over the choices in exact numbers, best first, with multipliers at each leaf."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import heappop, heappush
from math import floor

from ..program.deadline import NEVER, Deadline
from .duality import (
    Ending,
    Leaf,
    Split,
    Tree,
)
from .exact import Stand, point
from .multipliers import farkas, row_prices
from .optimum import End, Kind
from .scaled import Box, Exact, narrowed
from .simplex import objective, optimise, reduced_costs


@dataclass(frozen=True, slots=True)
class Feasible:
    """A basis that is feasible within its box, whole numbers and all, and what it costs."""

    cost: Fraction
    box: Box
    stand: Stand


@dataclass(frozen=True, slots=True)
class Searched:
    """What a search of the choices came to; ``best`` is ``None`` where no point was met."""

    tree: Tree
    best: Feasible | None
    endless: bool = False
    late: bool = False


@dataclass(frozen=True, slots=True)
class Limit:
    """How far a search of the choices may go."""

    most_nodes: int
    deadline: Deadline = NEVER

    def allows(self, nodes: int) -> bool:
        """Whether two more parts may be looked at."""
        return nodes + 2 <= self.most_nodes and not self.deadline.passed()


def branch_and_bound(
    exact: Exact, whole: Sequence[bool], start: Stand, best: Feasible | None, limit: Limit
) -> Searched:
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
                return Searched((), None, endless=not late, late=late)
            nodes[place] = node
            if end is None or end.kind is not Kind.OPTIMAL:
                continue
            here = feasible_at(exact, box, end.stand)
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
    return Searched(tuple(nodes[place] for place in range(len(nodes))), best)


def _looked_at(
    exact: Exact, box: Box, stand: Stand, best: Feasible | None, deadline: Deadline
) -> End | None:
    """The optimum of one part, stopped early where it cannot be better; ``None`` if it is empty."""
    if crossed(box):
        return None
    ceiling = None if best is None else best.cost
    return optimise(exact, box, stand, exact.costs, ceiling=ceiling, deadline=deadline)


def crossed(box: Box) -> bool:
    """Whether a column's lower bound lies above its upper one."""
    return any(
        low is not None and high is not None and low > high
        for low, high in zip(box.lower, box.upper, strict=True)
    )


def feasible_at(exact: Exact, box: Box, stand: Stand) -> Feasible:
    """A feasible basis with what its point costs."""
    reduced = reduced_costs(exact, stand, exact.costs)
    return Feasible(objective(exact, box, stand, reduced), box, stand)


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


def _fractional(exact: Exact, whole: Sequence[bool], here: Feasible) -> int | None:
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


def exact_point(exact: Exact, at: Feasible) -> tuple[Fraction, ...]:
    """[n] The point of a feasible basis."""
    values = point(exact, at.box, at.stand)
    return tuple(values.fraction(j, at.box.unit) for j in range(exact.width))
