"""Programs go to the solvers and come back as what they are, by index and by sign."""

import random
import subprocess
import sys
from itertools import count
from math import inf

import pytest
from barwright.constraints.model.row import Row
from barwright.solver.program.deadline import TIME_RAN_OUT, Deadline
from barwright.solver.program.opinion import second_opinion
from barwright.solver.program.outcome import (
    Infeasible,
    Optimal,
    Program,
    Stopped,
    Unbounded,
    Within,
)
from barwright.solver.program.session import Session, solve, solve_within

BOTH = pytest.mark.parametrize("ask", [solve, second_opinion], ids=["HiGHS", "CBC"])


def program(costs, rows, upper=None, whole=None):
    count = len(costs)
    return Program(
        costs=tuple(map(float, costs)),
        lower=(0.0,) * count,
        upper=tuple(upper or (inf,) * count),
        whole=tuple(whole or (False,) * count),
        rows=tuple(Row(f"r{k}", "", *row) for k, row in enumerate(rows)),
    )


TWO_SIDED = program([1, 2], [((0, 1), (1.0, 1.0), 1.0, 3.0), ((1,), (1.0,), 0.25, inf)])


@BOTH
def test_a_two_sided_row_holds_on_both_sides(ask):
    least = ask(TWO_SIDED)
    most = ask(program([-1, -1], [((0, 1), (1.0, 1.0), 1.0, 3.0)]))
    assert least.cost == pytest.approx(1.25)
    assert least.x == pytest.approx((0.75, 0.25))
    assert most.cost == pytest.approx(-3.0)


@BOTH
def test_a_price_is_what_one_more_of_a_row_costs(ask):
    found = ask(TWO_SIDED)
    assert found.row_prices == pytest.approx((1.0, 1.0))


@BOTH
def test_a_column_that_stands_nowhere_keeps_its_place(ask):
    found = ask(program([0, 1, 0], [((1,), (1.0,), 2.0, inf)]))
    assert len(found.x) == 3
    assert found.x[1] == pytest.approx(2.0)


@BOTH
def test_more_columns_than_ten_keep_their_order(ask):
    rows = [((j,), (1.0,), float(j), inf) for j in range(120)]
    assert ask(program([1] * 120, rows)).x == pytest.approx(tuple(map(float, range(120))))


@BOTH
def test_no_point_and_no_end_are_told_apart(ask):
    none = program([1], [((0,), (1.0,), 2.0, inf), ((0,), (1.0,), -inf, 1.0)])
    endless = program([-1], [((0,), (1.0,), 1.0, inf)])
    assert isinstance(ask(none), Infeasible)
    assert isinstance(ask(endless), Unbounded)


@BOTH
def test_a_whole_number_is_whole_and_carries_no_price(ask):
    found = ask(program([-1, -5], [((0, 1), (1.0, 10.0), -inf, 20.0)], (2.0, inf), (True, True)))
    assert found.cost == pytest.approx(-10.0)
    assert found.row_prices == found.column_prices == ()


def test_a_change_is_put_back_after_it_was_asked_about():
    session = Session(TWO_SIDED)
    before = session.solve()
    dearer = session.solve_with([(1, Row("r1", "", (1,), (1.0,), 0.5, inf))])
    weighed = session.solve_with([(0, Row("r0", "", (0, 1), (0.5, 1.0), 1.0, 3.0))])
    bound = session.solve_with(bounds=[(0, 1.0, inf)])
    after = session.solve()
    assert dearer.cost == pytest.approx(1.5)
    assert weighed.cost == pytest.approx(2.0)
    assert bound.cost == pytest.approx(1.5)
    assert after.cost == before.cost


def test_a_basis_names_every_column_and_row():
    basis = solve(TWO_SIDED).basis
    assert basis.columns == ("basic", "basic")
    assert basis.rows == ("lower", "lower")


def test_giving_up_is_no_answer(published):
    _, large = published("williams_food2")
    assert isinstance(solve(large, Deadline.after(1e-9)), Stopped)


# Weighing six whole-number steps: presolving this program used to write past the solver's memory.
CRASHED = """
from math import inf
from barwright.constraints.model.row import Row
from barwright.solver.program.outcome import Program
from barwright.solver.program.session import solve

a, b, c = 1.1818181818181819, 1.5714285714285714, (0, 1, 2, 3, 4, 5)
asked = Program(
    costs=(59.66656917338067, 348.7179487182254, 348.7179487182254, 171.1026616, 1000.0, 1000.0),
    lower=(0.0,) * 6,
    upper=(1.0, 9992.0, 6.0, 1.0, 9997.0, 1.0),
    whole=(True,) * 6,
    rows=(
        Row("sum", "", c, (1.0, 1.0, -1.0, -1.0, 1.0, -1.0), 0.0, 0.0),
        Row("0", "", (0, 1, 2), (-1.0, -1.0, 1.0), -1.25, 2.4166666666666665),
        Row("1", "", c, (-a, -a, a, 1.0, -1.0, 1.0), -0.8, 2.290909090909091),
        Row("2", "", c, (-b, -b, b, -1.0, 1.0, -1.0), -2.357142857142857, 0.5),
    ),
)
for _ in range(5):
    print(solve(asked).cost)
"""


def test_a_program_that_once_broke_the_solver_is_solved():
    done = subprocess.run(
        [sys.executable, "-c", CRASHED], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert [float(line) for line in done.stdout.split()] == pytest.approx([0.0] * 5)


def test_the_same_program_gives_the_same_answer():
    first, second = solve(TWO_SIDED), solve(TWO_SIDED)
    assert isinstance(first, Optimal)
    assert first == second


def test_a_search_over_choices_is_stopped_by_a_deadline_that_comes_before_its_time():
    """A knapsack of equations that takes minutes; the clock jumps once the search is under way."""
    draw, width = random.Random(3), 60
    rows = tuple(
        Row("", "", tuple(range(width)), tuple(draw.randint(1, 99) * 1.0 for _ in range(width)),
            1200.0, 1200.0)
        for _ in range(5)
    )  # fmt: skip
    costs = tuple(float(draw.randint(1, 99)) for _ in range(width))
    hard = Program(costs, (0.0,) * width, (1.0,) * width, (True,) * width, rows)
    looks = count()
    deadline = Deadline(20.0, lambda: 0.0 if next(looks) < 6 else inf)
    assert Session(hard, deadline).solve() == Stopped(TIME_RAN_OUT)
    assert next(looks) > 6  # it was looked at while the search went on
    looks = count()
    assert isinstance(solve_within(hard, 0.0, deadline), Stopped | Within)
    assert next(looks) > 6
