"""Exact linear algebra over a basis, and pivots that end where they must."""

from fractions import Fraction
from itertools import combinations
from math import inf

import pytest
from barwright.constraints.model.row import Row
from barwright.solver.program.outcome import Basis, Program
from barwright.solver.proof.exact import (
    Stand,
    basic_row,
    column_rates,
    point,
    regular,
    stand_from_basis,
    stand_from_point,
)
from barwright.solver.proof.optimum import Kind
from barwright.solver.proof.scaled import exact_program, narrowed, shifted
from barwright.solver.proof.simplex import basis_of, objective, optimise, reduced_costs
from hypothesis import given, settings
from hypothesis import strategies as st


def program(costs, rows, upper=None):
    width = len(costs)
    return Program(
        costs=tuple(map(float, costs)),
        lower=(0.0,) * width,
        upper=tuple(map(float, upper or (inf,) * width)),
        whole=(False,) * width,
        rows=tuple(
            Row(f"row {i}", "", tuple(range(width)), tuple(map(float, values)), low, high)
            for i, (low, values, high) in enumerate(rows)
        ),
    )


TENTHS = program((0.1, 0.3), [(0.7, (0.1, 0.2), inf), (-inf, (1.0, 1.0), 5.0)])


def test_every_number_of_the_exact_program_is_the_decimal_it_was_written_as():
    exact = exact_program(TENTHS)
    entries = [Fraction(int(a), exact.row_scales[0]) for _, a in exact.rows[0]]
    assert entries == [Fraction("0.1"), Fraction("0.2")]
    limit = Fraction(int(exact.box.lower[2]), exact.box.unit * exact.row_scales[0])
    assert limit == Fraction("0.7")
    assert [Fraction(int(c), exact.cost_scale) for c in exact.costs] == [
        Fraction("0.1"),
        Fraction("0.3"),
    ]


def test_a_row_open_on_both_sides_takes_no_part():
    open_row = program((1.0,), [(-inf, (1.0,), inf), (1.0, (1.0,), inf)])
    exact = exact_program(open_row)
    assert exact.kept == (1,)
    end = optimise(exact, exact.box, Stand((), ()), exact.costs)
    assert basis_of(exact, end.stand) == Basis(("basic",), ("basic", "lower"))


def test_the_basic_solution_meets_its_tight_rows_exactly():
    exact = exact_program(TENTHS)
    at = point(exact, exact.box, Stand((0, 1), (0, 1)))
    x, y = (at.fraction(j, exact.box.unit) for j in (0, 1))
    assert Fraction("0.1") * x + Fraction("0.2") * y == Fraction("0.7")
    # the second row rests at its only limit, the upper one
    assert x + y == 5


def test_a_row_and_a_column_of_the_tableau_agree_where_they_cross():
    exact = exact_program(TENTHS)
    stand = Stand((0,), (0,))
    row, rates = basic_row(exact, stand, 0), column_rates(exact, stand, 1)
    assert row.fraction(1) == rates.fraction(0) == -Fraction("0.2") / Fraction("0.1")


def test_dependent_columns_and_rows_are_dropped_from_a_basis():
    twice = program((1.0, 1.0), [(1.0, (1.0, 2.0), 1.0), (2.0, (2.0, 4.0), 2.0)])
    exact = exact_program(twice)
    kept = regular(exact, Stand((0, 1), (0, 1)))
    assert (kept.columns, kept.rows) == ((0,), (0,))


def test_a_basis_goes_in_and_out_unchanged():
    exact = exact_program(program((1.0, 1.0, 1.0), [(1.0, (1.0, 2.0, 4.0), 3.0)], (9, 9, 9)))
    basis = Basis(("basic", "upper", "lower"), ("upper",))
    assert basis_of(exact, stand_from_basis(exact, basis)) == basis


def test_a_point_tells_its_basis():
    exact = exact_program(TENTHS)
    assert stand_from_point(exact, (7.0, 0.0)) == Stand((0,), (0,))


def test_narrowing_never_widens_and_shifting_is_exact():
    exact = exact_program(program((1.0,), [(0.5, (1.0,), 2.5)], upper=(3.0,)))
    assert narrowed(exact.box, 0, -1, 7) == exact.box
    moved = shifted(exact.box, {1: (exact.box.unit, 0)}, Fraction(1, 3))
    assert Fraction(int(moved.lower[1]), moved.unit) == Fraction(1, 2) + Fraction(1, 3)
    assert Fraction(int(moved.upper[1]), moved.unit) == Fraction(5, 2)


def test_bealls_cycle_ends():
    """E. M. L. Beale, Naval Research Logistics Quarterly 2 (1955) 269: the textbook rule cycles."""
    beale = program(
        (-0.75, 150.0, -0.02, 6.0),
        [
            (-inf, (0.25, -60.0, -0.04, 9.0), 0.0),
            (-inf, (0.5, -90.0, -0.02, 3.0), 0.0),
            (-inf, (0.0, 0.0, 1.0, 0.0), 1.0),
        ],
    )
    exact = exact_program(beale)
    end = optimise(exact, exact.box, Stand((), (), frozenset()), exact.costs)
    cost = objective(exact, exact.box, end.stand, reduced_costs(exact, end.stand, exact.costs))
    assert end.kind is Kind.OPTIMAL
    assert float(cost) == pytest.approx(-0.05, abs=1e-15)


small = st.integers(-4, 4)
quarters = st.integers(-8, 8).map(lambda k: k / 4)


@st.composite
def boxed_programs(draw, rows=3):
    width = draw(st.integers(1, 3))
    lines = []
    for _ in range(draw(st.integers(0, rows))):
        values = draw(st.lists(small, min_size=width, max_size=width))
        ends = sorted((draw(quarters), draw(quarters)))
        low = -inf if draw(st.booleans()) else ends[0]
        high = inf if draw(st.booleans()) else ends[1]
        lines.append((low, values, high))
    costs = draw(st.lists(small, min_size=width, max_size=width))
    upper = draw(st.lists(st.integers(0, 6).map(lambda k: k / 2), min_size=width, max_size=width))
    return program(costs, lines, upper)


def least_by_corners(asked):
    """The least cost over every corner of the polytope, in exact arithmetic; None if empty."""
    width = len(asked.costs)
    planes = [
        ([Fraction(int(k == j)) for k in range(width)], Fraction(end))
        for j in range(width)
        for end in (asked.lower[j], asked.upper[j])
    ]
    for row in asked.rows:
        values = list(map(Fraction, row.values))
        planes += [(values, Fraction(end)) for end in (row.low, row.high) if abs(end) < inf]
    corners = (
        solved([planes[i] for i in some]) for some in combinations(range(len(planes)), width)
    )
    kept = [x for x in corners if x is not None and is_kept(asked, x)]
    return min((cost_of(asked, x) for x in kept), default=None)


def solved(planes):
    """Gauss and Jordan on a small square system; None if singular."""
    table = [[*values, end] for values, end in planes]
    for k in range(len(table)):
        lead = next((r for r in range(k, len(table)) if table[r][k]), None)
        if lead is None:
            return None
        table[k], table[lead] = table[lead], table[k]
        table[k] = [v / table[k][k] for v in table[k]]
        for r, row in enumerate(table):
            if r != k and row[k]:
                table[r] = [a - row[k] * b for a, b in zip(row, table[k], strict=True)]
    return [row[-1] for row in table]


def is_kept(asked, x):
    inside = all(low <= v <= high for low, v, high in zip(asked.lower, x, asked.upper, strict=True))
    return inside and all(
        row.low <= sum(Fraction(a) * x[j] for j, a in zip(row.columns, row.values, strict=True))
        and sum(Fraction(a) * x[j] for j, a in zip(row.columns, row.values, strict=True))
        <= row.high
        for row in asked.rows
    )


def cost_of(asked, x):
    return sum(Fraction(c) * v for c, v in zip(asked.costs, x, strict=True))


@given(boxed_programs(), st.data())
@settings(max_examples=80, deadline=None)
def test_pivots_from_any_basis_end_at_the_best_corner(asked, data):
    exact = exact_program(asked)
    width = len(asked.costs)
    columns = data.draw(st.sets(st.integers(0, width - 1)))
    rows = data.draw(st.sets(st.integers(0, len(exact.rows) - 1))) if exact.rows else set()
    upper = data.draw(st.sets(st.integers(0, exact.size - 1)))
    start = regular(exact, Stand(tuple(sorted(columns)), tuple(sorted(rows)), frozenset(upper)))
    end = optimise(exact, exact.box, start, exact.costs)
    truth = least_by_corners(asked)
    if truth is None:
        assert end.kind is Kind.EMPTY
        return
    assert end.kind is Kind.OPTIMAL
    reduced = reduced_costs(exact, end.stand, exact.costs)
    assert objective(exact, exact.box, end.stand, reduced) == truth
    at = point(exact, exact.box, end.stand)
    assert is_kept(asked, [at.fraction(j, exact.box.unit) for j in range(width)])
