"""Follow the exact optimum as a limit or a price moves, over every corner.

At each corner the simplex method goes on with an infinitesimal further move, so that the next
stretch has a length above 0 even where the optimum is degenerate.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, partial

from ..proof.exact import Stand, basic, non_basic, point
from ..proof.optimum import Drift, End, Kind
from ..proof.scaled import Box, Exact, Values, shifted
from ..proof.simplex import (
    at_top,
    dual_simplex,
    is_fixed,
    primal_simplex,
    reduced_costs,
)
from .ground import Ground


@dataclass(frozen=True, slots=True)
class Stretch:
    """A straight part of a walk.

    Args:
        start: where it begins.
        slope: by how much the cost changes for each unit.
        until: where it ends, worked out when it is asked for.
    """

    start: Fraction
    slope: Fraction
    until: Callable[[], Fraction | None]

    @property
    def stop(self) -> Fraction | None:
        """Where it ends; ``None`` without end."""
        return self.until()


def limit_walk(ground: Ground, drift: Drift) -> Iterator[Stretch]:
    """Follow the optimum as the ends of one row's activity move; ends where no point is left."""
    exact, stand, v = ground.exact, ground.stand, drift.variable
    at = Fraction(0)
    while True:
        box = shifted(ground.box, {v: (drift.low, drift.high)}, at)
        here = Drift(v, drift.low * at.denominator, drift.high * at.denominator)
        if is_fixed(box, v) and drift.low > drift.high:
            return
        stand = _on_the_right_end(exact, box, stand, here)
        end = dual_simplex(exact, box, stand, exact.costs, drift=here)
        if end.kind is not Kind.OPTIMAL:
            return
        stand = end.stand
        stretch = Stretch(
            at, _slope(ground, box, stand, drift), cache(partial(_stop, exact, box, end, here, at))
        )
        yield stretch
        if stretch.stop is None:
            return
        at = stretch.stop


def _on_the_right_end(exact: Exact, box: Box, stand: Stand, drift: Drift) -> Stand:
    """Two ends about to part: the variable goes with the one its price holds it to."""
    if not is_fixed(box, drift.variable) or drift.low == drift.high:
        return stand
    price = reduced_costs(exact, stand, exact.costs).numbers[drift.variable]
    upper = stand.upper - {drift.variable}
    return replace(stand, upper=upper | {drift.variable} if price < 0 else upper)


def _slope(ground: Ground, box: Box, stand: Stand, drift: Drift) -> Fraction:
    exact, v = ground.exact, drift.variable
    if v - exact.width not in stand.rows:
        return Fraction(0)
    rate = drift.high if at_top(box, stand, v) else drift.low
    reduced = reduced_costs(exact, stand, exact.costs)
    over = int(reduced.over) * int(ground.box.unit) * exact.cost_scale
    return Fraction(int(reduced.numbers[v]) * int(rate), over)


def _stop(exact: Exact, box: Box, end: End, drift: Drift, start: Fraction) -> Fraction | None:
    room = _room(exact, box, end, drift)
    return None if room is None else start + room


def _room(exact: Exact, box: Box, end: End, drift: Drift) -> Fraction | None:
    """How far the ends can move before some variable reaches one of its own."""
    if end.moved is None:
        raise ValueError("not the end of a run with a drift")
    at, rates = end.moved
    best: tuple[int, int] | None = None
    # Only what is basic can meet an end; where the limit that drifts is, its end moves too.
    for v in dict.fromkeys((*basic(exact, end.stand), drift.variable)):
        number, rate = at.numbers[v], rates.numbers[v]
        if not rate and v != drift.variable:
            continue
        ends = (drift.low, drift.high) if v == drift.variable else (0, 0)
        for limit, end_rate, up in (
            (box.lower[v], ends[0], False),
            (box.upper[v], ends[1], True),
        ):
            speed = rate - end_rate * rates.over
            if limit is None or not (speed > 0 if up else speed < 0):
                continue
            pair = (abs(limit * at.over - number), abs(speed))
            if best is None or pair[0] * best[1] < best[0] * pair[1]:
                best = pair
    if best is None:
        return None
    return Fraction(int(best[0]) * int(rates.over), int(best[1]) * int(at.over))


def price_walk(ground: Ground, column: int, sign: int) -> Iterator[Stretch]:
    """Follow the optimum as one price moves; ends where the cost would fall without end."""
    exact, box, stand = ground.exact, ground.box, ground.stand
    at = Fraction(0)
    while True:
        p, q = at.numerator, at.denominator
        push = sign * exact.cost_scale
        costs = [cost * q + (p * push if j == column else 0) for j, cost in enumerate(exact.costs)]
        tilt = [push * q if j == column else 0 for j in range(len(costs))]
        end = primal_simplex(exact, box, stand, costs, tilt=tilt)
        if end.kind is not Kind.OPTIMAL:
            return
        stand = end.stand
        slope = sign * point(exact, box, stand).fraction(column, box.unit)
        now, rates = reduced_costs(exact, stand, costs), reduced_costs(exact, stand, tilt)
        room = _price_room(ground, stand, now, rates)
        stop = None if room is None else at + room
        yield Stretch(at, slope, partial(_known, stop))
        if stop is None:
            return
        at = stop


def _known(stop: Fraction | None) -> Fraction | None:
    return stop


def _price_room(ground: Ground, stand: Stand, now: Values, rates: Values) -> Fraction | None:
    """How far the price can move before some resting variable would save cost by moving."""
    best: Fraction | None = None
    for v in non_basic(ground.exact, stand):
        rate = rates.numbers[v]
        falls = rate > 0 if at_top(ground.box, stand, v) else rate < 0
        if falls and not is_fixed(ground.box, v):
            over = int(now.over) * int(abs(rate))
            room = Fraction(int(abs(now.numbers[v])) * int(rates.over), over)
            best = room if best is None else min(best, room)
    return best
