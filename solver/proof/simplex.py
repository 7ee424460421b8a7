"""The bounded simplex method in whole-number arithmetic: pivots that cannot be wrong.

Both directions also take an infinitesimal: limits that have just begun to move (``Drift``) or
costs that have just begun to tilt. A basis found so is optimal not only at a point but some way
beyond it, which is what makes one-sided prices exact where the optimum is degenerate.
After a while the smallest index decides (Bland), so every run ends.
"""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ..program.deadline import NEVER, Deadline
from ..program.outcome import Basis
from .exact import (
    MEMORY,
    Stand,
    basic,
    basic_row,
    column_rates,
    combined,
    non_basic,
    point,
    resting,
    swapped,
)
from .optimum import Drift, End, Kind
from .scaled import Box, Exact, Values

PATIENCE = 60  # pivots before the smallest index decides


def objective(exact: Exact, box: Box, stand: Stand, reduced: Values) -> Fraction:
    """The cost of a basis from its reduced costs."""
    total = sum(
        reduced.numbers[v] * resting(box, stand, v)
        for v in non_basic(exact, stand)
        if reduced.numbers[v]
    )
    return Fraction(int(total), int(reduced.over) * int(box.unit) * exact.cost_scale)


def reduced_costs(exact: Exact, stand: Stand, costs: Sequence[int]) -> Values:
    """What each non-basic variable would add to the cost, per unit."""
    key = (stand.columns, stand.rows)
    own = costs is exact.costs
    if own and key in exact.priced:
        return exact.priced[key]
    found = combined(exact, stand, {j: c for j, c in enumerate(costs) if c})
    if own:
        if len(exact.priced) >= MEMORY:
            del exact.priced[next(iter(exact.priced))]
        exact.priced[key] = found
    return found


def is_fixed(box: Box, variable: int) -> bool:
    """Whether both ends of a variable are one."""
    return box.lower[variable] is not None and box.lower[variable] == box.upper[variable]


def at_top(box: Box, stand: Stand, variable: int) -> bool:
    """Whether a resting variable sits at its upper end."""
    if box.upper[variable] is None:
        return False
    return variable in stand.upper or box.lower[variable] is None


def _wrong(box: Box, stand: Stand, variable: int, rate: int) -> bool:
    """Whether moving a resting variable off its end would save cost."""
    if is_fixed(box, variable):
        return False
    return rate > 0 if at_top(box, stand, variable) else rate < 0


def settled(exact: Exact, box: Box, stand: Stand, reduced: Values) -> Stand:
    """The same basis with each resting variable at the end its reduced cost prefers, if it can."""
    upper = set(stand.upper)
    for v in non_basic(exact, stand):
        if reduced.numbers[v] < 0 and box.upper[v] is not None:
            upper.add(v)
        elif reduced.numbers[v] > 0 and box.lower[v] is not None:
            upper.discard(v)
    return replace(stand, upper=frozenset(upper))


def dual_feasible(exact: Exact, box: Box, stand: Stand, reduced: Values) -> bool:
    """Whether no resting variable could save cost."""
    return not any(_wrong(box, stand, v, reduced.numbers[v]) for v in non_basic(exact, stand))


def outside(
    exact: Exact, box: Box, stand: Stand, at: Values, moving: tuple[Drift, Values] | None = None
) -> list[tuple[int, bool, int]]:
    """Basic variables past an end: (variable, whether it must rise, how far past it is).

    The others rest at an end, wherever it moves.
    """
    found = []
    for v in basic(exact, stand):
        number = at.numbers[v]
        low, high = box.lower[v], box.upper[v]
        under = 0 if low is None else low * at.over - number
        over = 0 if high is None else number - high * at.over
        if under > 0 or over > 0:
            found.append((v, under > 0, max(under, over)))
        elif moving is not None and (under == 0 or over == 0):
            drift, rates = moving
            ends = (drift.low, drift.high) if v == drift.variable else (0, 0)
            rate = rates.numbers[v]
            if low is not None and under == 0 and rate < ends[0] * rates.over:
                found.append((v, True, 0))
            elif high is not None and over == 0 and rate > ends[1] * rates.over:
                found.append((v, False, 0))
    return found


def drift_rates(exact: Exact, box: Box, stand: Stand, drift: Drift) -> Values:
    """How every variable moves as the drifting ends move, the basis kept."""
    width, v = exact.width, drift.variable
    resting_now = v not in stand.columns if v < width else v - width in stand.rows
    rate = (drift.high if at_top(box, stand, v) else drift.low) if resting_now else 0
    if not rate:
        return Values((0,) * exact.size, 1)
    unit = column_rates(exact, stand, v)
    return Values(tuple(number * rate for number in unit.numbers), unit.over)


def dual_simplex(
    exact: Exact,
    box: Box,
    stand: Stand,
    costs: Sequence[int],
    *,
    ceiling: Fraction | None = None,
    drift: Drift | None = None,
    deadline: Deadline = NEVER,
) -> End:
    """From a dual feasible basis to an optimal one, or to a row that no point can keep.

    With ``ceiling`` it stops as soon as the dual bound reaches it.
    """
    pivots = 0
    while True:
        if pivots and deadline.passed():
            return End(Kind.LATE, stand, pivots)
        reduced = reduced_costs(exact, stand, costs)
        if ceiling is not None and objective(exact, box, stand, reduced) >= ceiling:
            return End(Kind.CEILING, stand, pivots)
        at = point(exact, box, stand)
        moving = None if drift is None else (drift, drift_rates(exact, box, stand, drift))
        past = outside(exact, box, stand, at, moving)
        if not past:
            return End(Kind.OPTIMAL, stand, pivots, moved=moving and (at, moving[1]))
        careful = pivots >= PATIENCE or drift is not None
        leaving, rises, _ = past[0] if careful else max(past, key=lambda item: item[2])
        row = basic_row(exact, stand, leaving).numbers
        able = [
            v
            for v in non_basic(exact, stand)
            if row[v]
            and (row[v] > 0) == (rises != at_top(box, stand, v))
            and (not is_fixed(box, v) or _parts(drift, v))
        ]
        # The one that moves it at the least cost; of several, the first.
        entering = _least_ratio(able, reduced.numbers, row)
        if entering is None:
            return End(Kind.EMPTY, stand, pivots, (leaving, rises))
        stand = swapped(exact, stand, leaving, entering, at_upper=not rises)
        pivots += 1


def _parts(drift: Drift | None, variable: int) -> bool:
    """Whether the two ends of a variable are moving apart."""
    return drift is not None and variable == drift.variable and drift.low != drift.high


def _least_ratio(able: Sequence[int], costs: Sequence[int], row: Sequence[int]) -> int | None:
    """The first of those with the least |cost| / |row entry|."""
    best: int | None = None
    for v in able:
        if best is None or abs(costs[v]) * abs(row[best]) < abs(costs[best]) * abs(row[v]):
            best = v
    return best


def primal_simplex(
    exact: Exact,
    box: Box,
    stand: Stand,
    costs: Sequence[int],
    *,
    tilt: Sequence[int] | None = None,
    deadline: Deadline = NEVER,
) -> End:
    """From a feasible basis to an optimal one; ``tilt`` breaks ties of cost, infinitesimally."""
    pivots = 0
    while True:
        if pivots and deadline.passed():
            return End(Kind.LATE, stand, pivots)
        reduced = reduced_costs(exact, stand, costs)
        second = reduced_costs(exact, stand, tilt) if tilt is not None else None
        wrong = [
            v
            for v in non_basic(exact, stand)
            if _wrong(box, stand, v, reduced.numbers[v])
            or (
                second is not None
                and reduced.numbers[v] == 0
                and _wrong(box, stand, v, second.numbers[v])
            )
        ]
        if not wrong:
            return End(Kind.OPTIMAL, stand, pivots)
        careful = pivots >= PATIENCE or tilt is not None
        entering = wrong[0] if careful else max(wrong, key=lambda v: abs(reduced.numbers[v]))
        moved = _primal_step(exact, box, stand, entering)
        if moved is None:
            return End(Kind.UNBOUNDED, stand, pivots, (entering, not at_top(box, stand, entering)))
        stand = moved
        pivots += 1


def _primal_step(exact: Exact, box: Box, stand: Stand, entering: int) -> Stand | None:
    """Move ``entering`` off its end until something stops it; ``None`` if nothing does."""
    falls = at_top(box, stand, entering)
    at, rates = point(exact, box, stand), column_rates(exact, stand, entering)
    # Steps are compared as room/speed; both sides over the same two denominators.
    best: tuple[int, int, int, bool] | None = None
    for v in (*basic(exact, stand), entering):
        number = rates.numbers[v]
        if not number:
            continue
        speed = -number if falls else number
        end = box.upper[v] if speed > 0 else box.lower[v]
        if end is None:
            continue
        room = abs(end * at.over - at.numbers[v])
        if best is None or room * best[1] < best[0] * abs(speed):
            best = (room, abs(speed), v, speed > 0)
    if best is None:
        return None
    leaving, at_upper = best[2], best[3]
    if leaving == entering:
        return replace(stand, upper=stand.upper ^ {entering})
    return swapped(exact, stand, leaving, entering, at_upper=at_upper)


def optimise(
    exact: Exact,
    box: Box,
    stand: Stand,
    costs: Sequence[int],
    *,
    ceiling: Fraction | None = None,
    deadline: Deadline = NEVER,
) -> End:
    """From any regular basis to the optimum, by whichever pivots repair it."""
    if not outside(exact, box, stand, point(exact, box, stand)):
        return primal_simplex(exact, box, stand, costs, deadline=deadline)
    reduced = reduced_costs(exact, stand, costs)
    stand = settled(exact, box, stand, reduced)
    if dual_feasible(exact, box, stand, reduced):
        return dual_simplex(exact, box, stand, costs, ceiling=ceiling, deadline=deadline)
    # Neither way is open: find a point first, with no cost at all, then go down from it.
    first = dual_simplex(exact, box, stand, [0] * len(costs), deadline=deadline)
    if first.kind is not Kind.OPTIMAL:
        return first
    second = primal_simplex(exact, box, first.stand, costs, deadline=deadline)
    return replace(second, pivots=first.pivots + second.pivots)


def basis_of(exact: Exact, stand: Stand) -> Basis:
    """A stand in the words of the interface: "basic", "lower" or "upper"."""
    width, inside, tight = exact.width, set(stand.columns), set(stand.rows)
    where = {k: i for i, k in enumerate(exact.kept)}

    def said(variable: int, *, basic: bool) -> str:
        if basic:
            return "basic"
        only_high = exact.box.lower[variable] is None
        return "upper" if variable in stand.upper or only_high else "lower"

    return Basis(
        tuple(said(j, basic=j in inside) for j in range(width)),
        tuple(
            "basic" if k not in where else said(width + where[k], basic=where[k] not in tight)
            for k in range(exact.height)
        ),
    )
