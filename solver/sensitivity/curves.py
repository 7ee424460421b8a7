"""The exact least cost as one limit or one price moves: straight between parametric corners."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import isfinite

from ...constraints.model.row import Row
from ..program.outcome import Program, exactly
from ..proof.proof import resolve
from ..proof.proved import Refusal, Unproved, Vertex
from ..proof.simplex import objective, reduced_costs
from .ground import Answer, Choice, Ground, conditioned, ground_of, held_choice
from .limits import Side, drift_of
from .walk import Stretch, limit_walk, price_walk


@dataclass(frozen=True, slots=True)
class Curve:
    """Cost as a function of one number: straight between the points.

    Args:
        points: (limit or price, cost), ascending; only as far as there is an answer, so that the
            ends tell where answers end.
        choice: the whole-number columns held as they are.
    """

    points: tuple[tuple[Fraction, Fraction], ...]
    choice: Choice

    def cost_at(self, place: Fraction) -> Fraction | None:
        """The cost at one place, ``None`` outside the curve."""
        for (a, cost_a), (b, cost_b) in pairwise(self.points):
            if a <= place <= b:
                return cost_a + (cost_b - cost_a) * (place - a) / (b - a)
        return next((cost for at, cost in self.points if at == place), None)


def limit_curve(
    program: Program, answer: Answer, limit: tuple[int, Side], start: float, end: float
) -> Curve | Unproved:
    """The exact least cost as a convex function of one limit (row, side) over an interval.

    Raises:
        ValueError: the row has no such limit, or the interval is not one.
    """
    ground = ground_of(program, answer)
    if isinstance(ground, Unproved):
        return ground
    (row, side), line = limit, program.rows[limit[0]]
    origin = line.high if side is Side.HIGH else line.low
    if not isfinite(origin) or (side is Side.BOTH and line.low != line.high):
        raise ValueError(f"row {row} has no limit {side.value}")

    def walk(sign: int) -> Iterator[Stretch]:
        return limit_walk(ground, drift_of(ground, row, side, sign))

    points = _curve(ground, walk, exactly(origin), (start, end))
    return Curve(points, held_choice(program, answer))


def price_curve(
    program: Program, answer: Answer, column: int, start: float, end: float
) -> Curve | Unproved:
    """The exact least cost as a concave function of one column's price.

    Raises:
        ValueError: the interval is not one.
    """
    ground = ground_of(program, answer)
    if isinstance(ground, Unproved):
        return ground

    def walk(sign: int) -> Iterator[Stretch]:
        return price_walk(ground, column, sign)

    points = _curve(ground, walk, exactly(program.costs[column]), (start, end))
    return Curve(points, held_choice(program, answer))


def moved(program: Program, answer: Answer, rows: Mapping[int, Row]) -> Vertex | Refusal:
    """The exact optimum after some rows are put in place of others, from the old basis.

    For limits that stand in coefficients, such as a ratio's; the choice is held.
    """
    lines = tuple(rows.get(i, row) for i, row in enumerate(program.rows))
    held = conditioned(replace(program, rows=lines), answer)
    return resolve(held, answer.basis)


def _curve(
    ground: Ground,
    walk: Callable[[int], Iterator[Stretch]],
    origin: Fraction,
    interval: tuple[float, float],
) -> tuple[tuple[Fraction, Fraction], ...]:
    start, end = map(Fraction, interval)
    if start > end:
        raise ValueError(f"{interval[0]} to {interval[1]} is not an interval")
    reduced = reduced_costs(ground.exact, ground.stand, ground.exact.costs)
    cost = objective(ground.exact, ground.box, ground.stand, reduced)
    found = {origin: cost}
    for sign, far in ((-1, origin - start), (+1, end - origin)):
        if far > 0:
            found |= {origin + sign * at: value for at, value in _corners(walk(sign), cost, far)}
    whole = Curve(tuple(sorted(found.items())), ())
    kept = {at: value for at, value in found.items() if start <= at <= end}
    kept |= {at: value for at in (start, end) if (value := whole.cost_at(at)) is not None}
    return _straightened(sorted(kept.items()))


def _corners(
    stretches: Iterator[Stretch], cost: Fraction, far: Fraction
) -> Iterator[tuple[Fraction, Fraction]]:
    for stretch in stretches:
        stop = far if stretch.stop is None else min(stretch.stop, far)
        cost += stretch.slope * (stop - stretch.start)
        yield stop, cost
        if stop == far:
            return


def _straightened(
    points: Sequence[tuple[Fraction, Fraction]],
) -> tuple[tuple[Fraction, Fraction], ...]:
    """Without the points that lie on the line between their neighbours."""
    kept: list[tuple[Fraction, Fraction]] = []
    for at, cost in points:
        if len(kept) > 1:
            (a, cost_a), (b, cost_b) = kept[-2:]
            if (cost_b - cost_a) * (at - b) == (cost - cost_b) * (b - a):
                kept.pop()
        kept.append((at, cost))
    return tuple(kept)
