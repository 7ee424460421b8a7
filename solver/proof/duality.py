"""What a stranger needs to re-check an answer: weak duality, in whole numbers, and no solving.

For any multipliers ``y`` over the rows, every point that keeps rows and bounds costs at least

    Σ y_i·(low_i if y_i > 0 else high_i) + Σ r_j·(lower_j if r_j > 0 else upper_j),  r = c − Aᵀy.

With ``c = 0`` the same sum is 0 for every point, so a positive one shows that there is none.
Nothing here knows the simplex method, python-flint or a solver.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from math import inf, isfinite, isinf, lcm

from ...constraints.model.row import Row
from ..program.outcome import Program, exactly

Ends = Sequence[int | None]


@dataclass(frozen=True, slots=True)
class Grid:
    """A program with every number a whole multiple of ``1 / per``; open ends are ``None``."""

    per: int
    costs: tuple[int, ...]
    rows: tuple[tuple[tuple[int, int], ...], ...]
    low: tuple[int | None, ...]
    high: tuple[int | None, ...]
    lower: tuple[int | None, ...]
    upper: tuple[int | None, ...]
    whole: tuple[bool, ...]


class Ending(StrEnum):
    """Why a leaf of the tree of choices needs no further look."""

    BOUND = "costs no less"
    EMPTY = "no point"
    CROSSED = "bounds cross"


@dataclass(frozen=True, slots=True)
class Leaf:
    """A part of the choices that is settled.

    Args:
        ending: by what.
        y: [m] multipliers over the rows: of a cost bound, or of Farkas; empty for CROSSED.
    """

    ending: Ending
    y: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class Split:
    """Two parts that together are the whole: ``x[column] ≤ at`` and ``x[column] ≥ at + 1``.

    ``below`` and ``above`` are places in the tree, both after the split's own.
    """

    column: int
    at: int
    below: int
    above: int


Tree = tuple[Leaf | Split, ...]
"""The root is the first; without whole-number columns it is a single leaf."""


def on_grid(program: Program) -> Grid:
    """The program's decimals, exactly.

    >>> on_grid(Program((0.5,), (0.0,), (1.0,), (False,), ())).per
    2
    """
    sides = (
        program.lower,
        program.upper,
        tuple(row.low for row in program.rows),
        tuple(row.high for row in program.rows),
    )
    numbers = [*program.costs, *(v for row in program.rows for v in row.values)]
    numbers += [v for side in sides for v in side if not isinf(v)]
    exact = {value: exactly(value) for value in set(numbers)}
    per = lcm(*(value.denominator for value in exact.values()))

    whole = {value: it.numerator * (per // it.denominator) for value, it in exact.items()}
    scaled = whole.__getitem__
    lower, upper, low, high = (
        tuple(None if isinf(v) else scaled(v) for v in side) for side in sides
    )
    rows = tuple(
        tuple(zip(row.columns, map(scaled, row.values), strict=True)) for row in program.rows
    )
    costs = tuple(map(scaled, program.costs))
    return Grid(per, costs, rows, low, high, lower, upper, program.whole)


def sound(program: Program) -> str:
    """What keeps a program from being one, in a word, or nothing.

    >>> sound(Program((1.0,), (float("-inf"),), (1.0,), (False,), ()))
    'column 0: the lower bound is not finite'
    """
    width = len(program.costs)
    if {len(program.lower), len(program.upper), len(program.whole)} != {width}:
        return "columns: costs, bounds and kinds differ in number"
    wrong = (
        _column_fault(j, *ends)
        for j, ends in enumerate(zip(program.costs, program.lower, program.upper, strict=True))
    )
    return next(filter(None, wrong), "") or next(
        filter(None, (_row_fault(i, row, width) for i, row in enumerate(program.rows))), ""
    )


def _column_fault(j: int, cost: float, low: float, high: float) -> str:
    if not isfinite(low):
        return f"column {j}: the lower bound is not finite"
    if not isfinite(cost) or not high > -inf:
        return f"column {j}: not a number"
    return ""


def _row_fault(i: int, row: Row, width: int) -> str:
    if not (all(map(isfinite, row.values)) and row.low < inf and row.high > -inf):
        return f"row {i}: not a number"
    if len(row.columns) != len(row.values) or len({*row.columns}) != len(row.columns):
        return f"row {i}: columns and values do not pair"
    if not all(0 <= j < width for j in row.columns):
        return f"row {i}: a column that is not there"
    return ""


def cost_of(grid: Grid, x: Sequence[Fraction]) -> Fraction:
    """The exact cost of a point."""
    numbers, over = common(x)
    total = sum(c * v for c, v in zip(grid.costs, numbers, strict=True) if v)
    return Fraction(total, grid.per * over)


def common(values: Sequence[Fraction]) -> tuple[list[int], int]:
    """Numerators over one denominator.

    >>> common([Fraction(1, 2), Fraction(1, 3)])
    ([3, 2], 6)
    """
    over = lcm(*(value.denominator for value in values))
    return [value.numerator * (over // value.denominator) for value in values], over


def broken(grid: Grid, x: Sequence[Fraction]) -> str:
    """The first column or row that a point breaks, or nothing."""
    numbers, over = common(x)
    for j, number in enumerate(numbers):
        low, high = grid.lower[j], grid.upper[j]
        if not _between(low, number * grid.per, high, over):
            return f"column {j}: outside its bounds"
        if grid.whole[j] and number % over:
            return f"column {j}: not a whole number"
    for i, row in enumerate(grid.rows):
        activity = sum(a * numbers[j] for j, a in row)
        if not _between(grid.low[i], activity, grid.high[i], over):
            return f"row {i}: not kept"
    return ""


def _between(low: int | None, value: int, high: int | None, over: int) -> bool:
    return (low is None or low * over <= value) and (high is None or value <= high * over)


def least_cost(
    grid: Grid, y: Sequence[Fraction], lower: Ends, upper: Ends, *, costs: bool = True
) -> Fraction | None:
    """What every point in the box must cost, by the multipliers ``y``.

    Args:
        grid: the program.
        y: [m] one multiplier for each row.
        lower: [n] lower ends of the box, on the grid.
        upper: [n] upper ends of the box, on the grid.
        costs: with the program's costs, or with none.

    Returns:
        ``None`` if the multipliers lean on an end that is open.
    """
    total = 0
    terms, over = _terms(grid, y, lower, upper, costs=costs)
    for weight, low, high in terms:
        end = low if weight > 0 else high
        if weight and end is None:
            return None
        total += weight * (end or 0)
    return Fraction(total, over * grid.per * grid.per)


def least_breach(grid: Grid, y: Sequence[Fraction], lower: Ends, upper: Ends) -> Fraction | None:
    """By how much some row or bound must be missed by every point, by Farkas multipliers.

    Positive exactly where the multipliers prove that no point keeps all of them. Loosening every
    row and bound by ``e`` lifts the sum of the certificate by at most ``e·(Σ|y| + Σ|r|)``.
    """
    excess = least_cost(grid, y, lower, upper, costs=False)
    if excess is None:
        return None
    terms, over = _terms(grid, y, lower, upper, costs=False)
    size = Fraction(sum(abs(weight) for weight, _, _ in terms), over * grid.per)
    return excess / size if size else Fraction(0)


def _terms(
    grid: Grid, y: Sequence[Fraction], lower: Ends, upper: Ends, *, costs: bool
) -> tuple[list[tuple[int, int | None, int | None]], int]:
    """(weight, low, high) of every row and column; weights count in ``1/(over·per)``."""
    numbers, over = common(y)
    reduced = [cost * over if costs else 0 for cost in grid.costs]
    for row, number in zip(grid.rows, numbers, strict=True):
        if number:
            for j, entry in row:
                reduced[j] -= entry * number
    rows = zip((number * grid.per for number in numbers), grid.low, grid.high, strict=True)
    return [*rows, *zip(reduced, lower, upper, strict=True)], over


def covers(tree: Tree, whole: Sequence[bool]) -> bool:
    """Whether the tree's leaves leave out no choice: one root, every part settled once."""
    children = [
        child for node in tree if isinstance(node, Split) for child in (node.below, node.above)
    ]
    forward = all(
        place < min(node.below, node.above) and 0 <= node.column < len(whole) and whole[node.column]
        for place, node in enumerate(tree)
        if isinstance(node, Split)
    )
    return bool(tree) and forward and sorted(children) == list(range(1, len(tree)))


def leaves(grid: Grid, tree: Tree) -> Iterator[tuple[Leaf, Ends, Ends]]:
    """Every leaf with its box, on the grid."""
    boxes: dict[int, tuple[Ends, Ends]] = {0: (grid.lower, grid.upper)}
    for place, node in enumerate(tree):
        lower, upper = boxes.pop(place)
        if isinstance(node, Leaf):
            yield node, lower, upper
            continue
        j, at = node.column, node.at * grid.per
        top, floor = upper[j], lower[j]
        less = at if top is None else min(top, at)
        more = at + grid.per if floor is None else max(floor, at + grid.per)
        boxes[node.below] = lower, (*upper[:j], less, *upper[j + 1 :])
        boxes[node.above] = (*lower[:j], more, *lower[j + 1 :]), upper


def crossing(grid: Grid, lower: Ends, upper: Ends) -> Fraction:
    """By how much some lower end passes its upper one; 0 where none does."""
    pairs = [*zip(lower, upper, strict=True), *zip(grid.low, grid.high, strict=True)]
    worst = max((a - b for a, b in pairs if a is not None and b is not None), default=0)
    return Fraction(max(worst, 0), grid.per)


def tree_bound(grid: Grid, tree: Tree) -> Fraction | None:
    """What every choice must cost; ``None`` where every leaf is proved empty.

    Raises:
        ValueError: a leaf proves nothing, or the tree leaves a choice out.
    """
    if not covers(tree, grid.whole):
        raise ValueError("the tree leaves a choice out")
    bounds = []
    for leaf, lower, upper in leaves(grid, tree):
        if leaf.ending is not Ending.BOUND:
            if breach_of(grid, leaf, lower, upper) <= 0:
                raise ValueError("a leaf said to be empty is not shown to be")
            continue
        bound = least_cost(grid, leaf.y, lower, upper)
        if bound is None:
            raise ValueError("a leaf's multipliers lean on an open end")
        bounds.append(bound)
    return min(bounds, default=None)


def breach_of(grid: Grid, leaf: Leaf, lower: Ends, upper: Ends) -> Fraction:
    """By how much every point of a leaf misses something; 0 where the leaf does not show it."""
    if leaf.ending is Ending.CROSSED:
        return crossing(grid, lower, upper) / 2
    if leaf.ending is Ending.BOUND:
        return Fraction(0)
    return least_breach(grid, leaf.y, lower, upper) or Fraction(0)
