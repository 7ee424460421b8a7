"""Where the cheapest of several convex curves change places."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import inf

BELOW = 1e-7
"""A point that lies below a piece by no more than this does not [money/kg, kg/kg]."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Chain:
    """The least cost at each distance with one choice made: corners, nearest first."""

    choice: tuple[float, ...]
    points: tuple[Point, ...]

    def at(self, apart: float) -> float:
        """The cost at a distance; ``inf`` where the chain does not reach."""
        if apart < self.points[0][0] - BELOW:
            return inf
        for (left, high), (right, low) in pairwise(self.points):
            if apart <= right:
                return high + (low - high) * max(0.0, apart - left) / (right - left)
        return self.points[-1][1]


@dataclass(frozen=True, slots=True)
class Piece:
    """A straight piece of the lower edge, with the choice that gives it."""

    choice: tuple[float, ...]
    left: Point
    right: Point

    @property
    def slope(self) -> float:
        """Money a kilogram saved is negative [money/kg for a share]."""
        return (self.right[1] - self.left[1]) / (self.right[0] - self.left[0])


def lower_edge(chains: Sequence[Chain]) -> list[Piece]:
    """Where the lowest of the chains runs, from the nearest point to the cheapest."""
    ends = sorted({apart for chain in chains for apart, _ in chain.points} | set(_meetings(chains)))
    cheapest = min(chain.points[-1][1] for chain in chains)
    pieces: list[Piece] = []
    for left, right in pairwise(ends):
        if right - left <= BELOW:
            continue
        lowest = min(chains, key=lambda chain: chain.at(0.5 * (left + right)))
        piece = Piece(lowest.choice, (left, lowest.at(left)), (right, lowest.at(right)))
        if piece.left[1] > cheapest + BELOW:
            pieces.append(piece)
    if pieces:
        return pieces
    only = min(chains, key=lambda chain: chain.points[0])
    return [Piece(only.choice, only.points[0], (only.points[0][0] + 1.0, only.points[0][1]))]


def _meetings(chains: Sequence[Chain]) -> Iterator[float]:
    """Distances at which two chains cross."""
    for one, other in combinations(chains, 2):
        ends = sorted({apart for chain in (one, other) for apart, _ in chain.points})
        for left, right in pairwise(ends):
            before, after = (one.at(apart) - other.at(apart) for apart in (left, right))
            if abs(before) < inf and abs(after) < inf and before * after < 0:
                yield left + (right - left) * before / (before - after)


def bends(points: Sequence[Point]) -> Iterator[Point]:
    """The points at which the chain bends, and its ends."""
    yield points[0]
    kept = points[0]
    for here, after in pairwise(points[1:]):
        straight = (here[1] - kept[1]) * (after[0] - kept[0])
        if straight < (after[1] - kept[1]) * (here[0] - kept[0]) - BELOW * BELOW:
            yield here
            kept = here
    yield points[-1]
