"""Exact linear algebra over a basis; only this and the scaled program know python-flint.

Every number counts as the decimal it was written as, so a scaled program is one over integers.
Variables are numbered 0 … n-1 for the columns and n … n+m-1 for the rows' activities
``s_i = A_i·x``; a basis is the set of basic columns S and of rows T that are *not* basic
(they sit at a limit), and everything follows from the small kernel ``A[T, S]``.
Vectors are whole numbers over one common denominator.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import fsum

from ..program.outcome import Basis
from .scaled import Box, Exact, Matrix, Values

PRIME = 2**61 - 1  # a kernel that is regular modulo one prime is regular

MEMORY = 64  # inverses kept, and reduced costs


@dataclass(frozen=True, slots=True)
class Stand:
    """A basis: basic columns, rows at a limit, and which non-basic variables sit at the top."""

    columns: tuple[int, ...]
    rows: tuple[int, ...]
    upper: frozenset[int] = frozenset()


def stand_from_basis(exact: Exact, basis: Basis) -> Stand:
    """The solver's basis, with dependent columns and rows dropped if its kernel is singular."""
    width = exact.width
    rows = [i for i, k in enumerate(exact.kept) if basis.rows[k] != "basic"]
    columns = [j for j, status in enumerate(basis.columns) if status == "basic"]
    upper = {j for j, status in enumerate(basis.columns) if status == "upper"}
    upper |= {width + i for i in rows if basis.rows[exact.kept[i]] == "upper"}
    return regular(exact, Stand(tuple(columns), tuple(rows), frozenset(upper)))


def stand_from_point(
    exact: Exact, x: Sequence[float] | Sequence[Fraction], near: float = 1e-7
) -> Stand:
    """A basis crashed from a point: columns between their bounds against rows at a limit."""
    width = exact.width
    values = [float(v) for v in x]  # what is near needs no more digits than these have
    scales = [1] * width + list(exact.row_scales)
    values += [
        fsum(int(a) / scale * values[j] for j, a in row)
        for row, scale in zip(exact.rows, exact.row_scales, strict=True)
    ]
    gaps = [
        (_gap(exact, v, value, scale, low=True), _gap(exact, v, value, scale, low=False))
        for v, (value, scale) in enumerate(zip(values, scales, strict=True))
    ]
    tight = [min(pair) <= near for pair in gaps]
    upper = frozenset(v for v, (low, high) in enumerate(gaps) if high < low and tight[v])
    columns = tuple(j for j in range(width) if not tight[j])
    rows = tuple(i for i in range(len(exact.rows)) if tight[width + i])
    return regular(exact, Stand(columns, rows, upper))


def _gap(exact: Exact, variable: int, value: float, scale: int, *, low: bool) -> float:
    end = (exact.box.lower if low else exact.box.upper)[variable]
    if end is None:
        return float("inf")
    return abs(value - int(end) / (scale * exact.box.unit))


def regular(exact: Exact, stand: Stand) -> Stand:
    """The largest part of a basis whose kernel is regular (found modulo a prime)."""
    if not stand.columns or not stand.rows:
        return Stand((), (), stand.upper)
    # Rows that are equations come first: they have nowhere else to go.
    width, box = exact.width, exact.box
    rows = sorted(stand.rows, key=lambda i: box.lower[width + i] != box.upper[width + i])
    kernel = _entries(exact, rows, stand.columns)
    columns = [stand.columns[j] for j in _independent(kernel)]
    flipped = [list(column) for column in zip(*kernel, strict=True)]
    return Stand(tuple(columns), tuple(sorted(rows[i] for i in _independent(flipped))), stand.upper)


def _independent(matrix: Sequence[Sequence[int]]) -> list[int]:
    from flint import nmod_mat

    entries = [int(v) % PRIME for row in matrix for v in row]
    reduced, rank = nmod_mat(len(matrix), len(matrix[0]), entries, PRIME).rref()
    return [next(j for j, v in enumerate(row) if v != 0) for row in reduced.tolist()[:rank]]


def _entries(exact: Exact, rows: Iterable[int], columns: Sequence[int]) -> list[list[int]]:
    place = {column: k for k, column in enumerate(columns)}
    kernel = []
    for i in rows:
        line = [0] * len(columns)
        for column, entry in exact.rows[i]:
            if column in place:
                line[place[column]] = entry
        kernel.append(line)
    return kernel


def _inverse(exact: Exact, stand: Stand) -> tuple[Matrix, int]:
    """The kernel's inverse as an integer matrix over one positive number."""
    from flint import fmpz_mat

    key = (stand.rows, stand.columns)
    if key not in exact.inverses:
        # Fraction-free elimination of [K | 1]; fmpz_mat.inv would reduce every entry.
        size = len(stand.rows)
        kernel = _entries(exact, stand.rows, stand.columns)
        wide = [[*row, *(int(i == j) for j in range(size))] for i, row in enumerate(kernel)]
        reduced, over, rank = fmpz_mat(wide).rref()
        if rank != size or reduced[size - 1, size - 1] != over:
            raise ArithmeticError("a basis with a singular kernel")
        sign = -1 if over < 0 else 1
        inverse = fmpz_mat([row[size:] for row in reduced.tolist()]) * sign
        if len(exact.inverses) >= MEMORY:
            del exact.inverses[next(iter(exact.inverses))]
        exact.inverses[key] = (inverse, over * sign)
    return exact.inverses[key]


def _solved(
    exact: Exact, stand: Stand, right: Sequence[int], *, across: bool
) -> tuple[list[int], int]:
    """``K⁻¹·right``, or ``K⁻ᵀ·right`` if ``across``, as numerators over one denominator."""
    from flint import fmpz, fmpz_mat

    if not stand.rows:
        return [], fmpz(1)
    inverse, over = _inverse(exact, stand)
    size = len(right)
    if across:
        return (fmpz_mat(1, size, right) * inverse).entries(), over
    return (inverse * fmpz_mat(size, 1, right)).entries(), over


def resting(box: Box, stand: Stand, variable: int) -> int:
    """Where a non-basic variable sits, in box units."""
    low, high = box.lower[variable], box.upper[variable]
    if high is not None and (low is None or variable in stand.upper):
        return high
    return 0 if low is None else low


def _completed(
    exact: Exact, stand: Stand, rests: Mapping[int, int], solved: Sequence[int], over: int
) -> Values:
    """All variables from the basic columns and the non-zero resting values."""
    width = exact.width
    there = {variable: value * over for variable, value in rests.items() if variable < width}
    there.update(zip(stand.columns, solved, strict=True))
    numbers = [0] * exact.size
    for column, value in there.items():
        numbers[column] = value
        if value:
            for i, entry in exact.columns[column]:
                numbers[width + i] += entry * value
    return Values(tuple(numbers), over)


def point(exact: Exact, box: Box, stand: Stand) -> Values:
    """The basic solution: every variable's value in box units."""
    width, inside = exact.width, set(stand.columns)
    # Most columns rest at nothing: only those with an end elsewhere are asked.
    away = [j for j, low in enumerate(box.lower[:width]) if low is None or low]
    asked = {*away, *(v for v in stand.upper if v < width)} - inside
    rests = {v: resting(box, stand, v) for v in (*sorted(asked), *(width + i for i in stand.rows))}
    return _with_rests(exact, stand, {v: value for v, value in rests.items() if value})


def _with_rests(exact: Exact, stand: Stand, rests: Mapping[int, int]) -> Values:
    width, inside = exact.width, set(stand.columns)
    place = {i: k for k, i in enumerate(stand.rows)}
    right = [rests.get(width + i, 0) for i in stand.rows]
    for j, value in rests.items():
        if j < width and j not in inside:
            for i, entry in exact.columns[j]:
                if i in place:
                    right[place[i]] -= entry * value
    solved, over = _solved(exact, stand, right, across=False)
    return _completed(exact, stand, rests, solved, over)


def column_rates(exact: Exact, stand: Stand, variable: int) -> Values:
    """How every variable moves when one non-basic ``variable`` rises by 1."""
    return _with_rests(exact, stand, {variable: 1})


def combined(exact: Exact, stand: Stand, weights: Mapping[int, int]) -> Values:
    """``Σ weights[j]·x[j]`` over columns, rewritten in the non-basic variables; 0 at basic ones."""
    right = [weights.get(j, 0) for j in stand.columns]
    solved, over = _solved(exact, stand, right, across=True)
    price = [0] * len(exact.rows)
    rest = [0] * exact.width
    for i, value in zip(stand.rows, solved, strict=True):
        price[i] = value
        if value:
            for column, entry in exact.rows[i]:
                rest[column] -= entry * value
    for j, value in weights.items():
        rest[j] += value * over
    return Values((*rest, *price), over)


def basic_row(exact: Exact, stand: Stand, variable: int) -> Values:
    """A basic variable as a combination of the non-basic ones."""
    width = exact.width
    if variable < width:
        return combined(exact, stand, {variable: 1})
    return combined(exact, stand, dict(exact.rows[variable - width]))


def swapped(exact: Exact, stand: Stand, leaving: int, entering: int, *, at_upper: bool) -> Stand:
    """The neighbouring basis: ``leaving`` comes to rest, ``entering`` becomes basic."""
    width = exact.width
    columns, rows = set(stand.columns), set(stand.rows)
    if leaving < width:
        columns.remove(leaving)
    else:
        rows.add(leaving - width)
    if entering < width:
        columns.add(entering)
    else:
        rows.remove(entering - width)
    upper = stand.upper - {leaving, entering} | ({leaving} if at_upper else frozenset())
    return Stand(tuple(sorted(columns)), tuple(sorted(rows)), upper)


def basic(exact: Exact, stand: Stand) -> list[int]:
    """The variables that are not at rest, ascending."""
    width, tight = exact.width, set(stand.rows)
    return [*stand.columns, *(width + i for i in range(len(exact.rows)) if i not in tight)]


def non_basic(exact: Exact, stand: Stand) -> list[int]:
    """The variables at rest, ascending."""
    width, inside = exact.width, set(stand.columns)
    return [j for j in range(width) if j not in inside] + [width + i for i in stand.rows]
