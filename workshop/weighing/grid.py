"""Whole steps: the point of a grid that keeps every rule, nearest first or cheapest first.

The search is the solver's, in steps counted from the nearest grid point, so that its floats stay
small. Whether a point keeps the rules is decided apart from it, in rational numbers: a point that
the solver lets pass within its tolerance is thrown out and the grid around it searched again.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from math import floor, inf

from ...constraints.model.row import Row
from ...solver.program.deadline import NEVER, Deadline
from ...solver.program.outcome import Infeasible, Optimal, Program, Stopped
from ...solver.program.session import solve

# Measures are handed to the solver with their largest step worth this much, far above the 1e-6 it
# is sloppy by; two points nearer than `_TIE` of the largest step count as alike.
_SCALE = 1000
_TIE = Fraction(1, 10**7)
_WIDEST = 10_000
_MOST_SEARCHES = 400


class Aim(StrEnum):
    """What makes one grid point better than another."""

    NEAREST = "nearest"
    CHEAPEST = "cheapest"


@dataclass(frozen=True, slots=True)
class Line:
    """``low ≤ Σ values[j]·steps[j] ≤ high``, exact; ``None`` where a side is open."""

    rule: str
    values: tuple[Fraction, ...]
    low: Fraction | None
    high: Fraction | None

    def holds(self, point: Sequence[int]) -> bool:
        """Whether the point keeps it, with no tolerance."""
        sum_ = sum((v * n for v, n in zip(self.values, point, strict=True)), Fraction())
        return (self.low is None or sum_ >= self.low) and (self.high is None or sum_ <= self.high)


@dataclass(frozen=True, slots=True)
class Grid:
    """Whole steps of each material, and the lines they must keep.

    Args:
        target: [n] the ideal amount [steps], not whole.
        low: [n] fewest steps.
        high: [n] most steps.
        weight: [n] distance that one step off the target counts for.
        price: [n] money for one step.
        lines: what must hold.
    """

    target: tuple[Fraction, ...]
    low: tuple[int, ...]
    high: tuple[int, ...]
    weight: tuple[Fraction, ...]
    price: tuple[Fraction, ...]
    lines: tuple[Line, ...]

    def plain(self) -> tuple[int, ...]:
        """Every amount rounded by itself to its nearest step, halves up."""
        return tuple(floor(t + Fraction(1, 2)) for t in self.target)

    def centre(self) -> tuple[int, ...]:
        """The nearest point within the bounds, whatever the lines say."""
        bounds = zip(self.plain(), self.low, self.high, strict=True)
        return tuple(min(max(n, low), high) for n, low, high in bounds)

    def measure(self, aim: Aim, point: Sequence[int]) -> Fraction:
        """Distance from the target, or cost, exactly."""
        if aim is Aim.CHEAPEST:
            return sum((p * n for p, n in zip(self.price, point, strict=True)), Fraction())
        parts = zip(self.weight, self.target, point, strict=True)
        return sum((w * abs(n - t) for w, t, n in parts), Fraction())

    def broken(self, point: Sequence[int]) -> tuple[str, ...]:
        """Rules that the point breaks, each once, in the order of the lines."""
        return tuple(
            dict.fromkeys(line.rule for line in self.lines if not line.holds(point)),
        )

    def without(self, rules: frozenset[str]) -> "Grid":
        """The same grid, some rules dropped."""
        return replace(self, lines=tuple(line for line in self.lines if line.rule not in rules))


def best(
    grid: Grid, aims: Sequence[Aim], deadline: Deadline = NEVER
) -> tuple[int, ...] | Infeasible | Stopped:
    """The best grid point by the first aim, among those as good by the second, and so on.

    Args:
        grid: bounds, lines and measures.
        aims: one or more, the weightiest first.
        deadline: when to give up.
    """
    caps: dict[Aim, Fraction] = {}
    found: tuple[int, ...] | Infeasible | Stopped = Infeasible()
    for aim in aims:
        found = _search(grid, aim, caps, deadline)
        if not isinstance(found, tuple):
            if caps and isinstance(found, Infeasible):
                return Stopped("a point was found and then denied")
            return found
        caps[aim] = grid.measure(aim, found) + _TIE * _largest(_steps_of(grid, aim))
    return found


def _search(
    grid: Grid, aim: Aim, caps: dict[Aim, Fraction], deadline: Deadline
) -> tuple[int, ...] | Infeasible | Stopped:
    boxes, kept = [grid], []
    for _ in range(_MOST_SEARCHES):
        if not boxes:
            break
        box = boxes.pop()
        point = _solved(box, aim, caps, deadline)
        if isinstance(point, Stopped):
            return point
        if isinstance(point, Infeasible):
            continue
        if not grid.broken(point) and all(grid.measure(a, point) <= cap for a, cap in caps.items()):
            kept.append(point)
        else:
            boxes.extend(_around(box, point))
    else:
        return Stopped("too many points that keep the rules only within the solver's tolerance")
    return min(kept, key=lambda point: grid.measure(aim, point), default=Infeasible())


def _around(box: Grid, point: Sequence[int]) -> Iterator[Grid]:
    """The box less one point, as boxes that do not overlap."""
    low, high = list(box.low), list(box.high)
    for j, n in enumerate(point):
        if low[j] < n:
            yield replace(box, low=tuple(low), high=(*high[:j], n - 1, *high[j + 1 :]))
        if n < high[j]:
            yield replace(box, low=(*low[:j], n + 1, *low[j + 1 :]), high=tuple(high))
        low[j] = high[j] = n


def _solved(
    box: Grid, aim: Aim, caps: dict[Aim, Fraction], deadline: Deadline
) -> tuple[int, ...] | Infeasible | Stopped:
    if any(low > high for low, high in zip(box.low, box.high, strict=True)):
        return Infeasible()
    if any(not any(line.values) and not line.holds(box.low) for line in box.lines):
        return Infeasible()
    outcome = solve(_program(box, aim, caps), deadline)
    if isinstance(outcome, Optimal):
        return _point(box, outcome.x)
    return outcome if isinstance(outcome, Infeasible | Stopped) else Stopped("no end to the grid")


def _program(box: Grid, aim: Aim, caps: dict[Aim, Fraction]) -> Program:
    """The box as a program over three columns a material.

    ``first`` is the step from the centre towards the target, which costs less distance than any
    other; ``up`` and ``down`` are the steps beyond. On whole numbers their sum is the distance.
    """
    centre, signs = box.centre(), _signs(box)
    upper = [side for j, sign in enumerate(signs) for side in _room(box, centre[j], sign, j)]
    rows = [_row(line, centre, signs) for line in box.lines if any(line.values)]
    rows += [_cap(box, held, cap) for held, cap in caps.items() if any(_steps_of(box, held))]
    return Program(
        costs=_steps_scaled(box, aim),
        lower=(0.0,) * len(upper),
        upper=tuple(map(float, upper)),
        whole=(True,) * len(upper),
        rows=tuple(rows),
    )


def _signs(box: Grid) -> tuple[int, ...]:
    """[n] on which side of the centre the target lies."""
    return tuple(1 if t >= c else -1 for t, c in zip(box.target, box.centre(), strict=True))


def _room(box: Grid, centre: int, sign: int, j: int) -> tuple[int, int, int]:
    above, below = box.high[j] - centre, centre - box.low[j]
    if sign > 0:
        return min(1, above), max(0, above - 1), below
    return min(1, below), above, max(0, below - 1)


def _point(box: Grid, x: Sequence[float]) -> tuple[int, ...]:
    triples = zip(x[0::3], x[1::3], x[2::3], strict=True)
    moves = (
        sign * round(first) + round(up) - round(down)
        for sign, (first, up, down) in zip(_signs(box), triples, strict=True)
    )
    return tuple(centre + move for centre, move in zip(box.centre(), moves, strict=True))


def _steps_of(box: Grid, aim: Aim) -> list[Fraction]:
    """[3n] what each column adds to a measure, for one step."""
    if aim is Aim.CHEAPEST:
        signed = zip(_signs(box), box.price, strict=True)
        return [step for sign, p in signed for step in (sign * p, p, -p)]
    parts = zip(box.weight, box.target, box.centre(), strict=True)
    return [step for w, t, c in parts for step in (w * max(1 - 2 * abs(t - c), Fraction()), w, w)]


def _largest(values: Sequence[Fraction]) -> Fraction:
    return max(map(abs, values), default=Fraction()) or Fraction(1)


def _steps_scaled(box: Grid, aim: Aim) -> tuple[float, ...]:
    steps = _steps_of(box, aim)
    scale = _SCALE / _largest(steps)
    return tuple(float(step * scale) for step in steps)


def _cap(box: Grid, aim: Aim, cap: Fraction) -> Row:
    scale = _SCALE / _largest(_steps_of(box, aim))
    room = float((cap - box.measure(aim, box.centre())) * scale)
    values = _steps_scaled(box, aim)
    used = tuple(j for j, value in enumerate(values) if value)
    return Row(aim, "cap", used, tuple(values[j] for j in used), -inf, room)


def _row(line: Line, centre: Sequence[int], signs: Sequence[int]) -> Row:
    used = [j for j, value in enumerate(line.values) if value]
    sizes = [abs(line.values[j]) for j in used]
    scale = min(Fraction(_WIDEST), max(sizes) / min(sizes)) / max(sizes)
    at_centre = sum((line.values[j] * centre[j] for j in used), Fraction())
    one = [float(line.values[j] * scale) for j in used]
    return Row(
        rule=line.rule,
        part="",
        columns=tuple(3 * j + k for j in used for k in range(3)),
        values=tuple(
            v for j, step in zip(used, one, strict=True) for v in (signs[j] * step, step, -step)
        ),
        low=-inf if line.low is None else float((line.low - at_centre) * scale),
        high=inf if line.high is None else float((line.high - at_centre) * scale),
    )
