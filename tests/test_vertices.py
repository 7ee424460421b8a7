"""A point is taken at other prices without asking only where asking would give it."""

import random
from math import inf

import numpy as np
import pytest
from barwright.constraints.model.row import row
from barwright.constraints.rules.choose import Choose
from barwright.constraints.rules.dose import Dose
from barwright.solver.cheapest.cheapest import program_of
from barwright.solver.program.opinion import second_opinion
from barwright.solver.program.outcome import Program
from barwright.solver.program.session import solve
from barwright.solver.program.warm import Warm
from barwright.solver.scenarios.vertices import Laid, Vertex
from barwright.solver.scenarios.warm import Shelf
from blends import bench, material, said, share_of


def random_program(seed, shares=7):
    """Shares that add to one, between limits, with one column beside them that is held."""
    draw = random.Random(seed)
    rows = [row("whole", "sum", dict.fromkeys(range(shares), 1.0), 1.0, 1.0)]
    for number in range(5):
        values = {column: draw.uniform(0.0, 1.0) for column in range(shares)}
        middle = sum(values.values()) / shares
        low, high = middle - draw.uniform(0.0, 0.2), middle + draw.uniform(0.0, 0.2)
        sides = draw.choice([(low, inf), (-inf, high), (low, high)])
        rows.append(row(f"r{number}", "share", {**values, shares: 0.1}, *sides))
    upper = [draw.choice([0.3, 0.5, 1.0]) for _ in range(shares)]
    return Program(
        (0.0,) * (shares + 1),
        (*(0.0,) * shares, 0.2),
        (*upper, 0.2),
        (False,) * (shares + 1),
        tuple(rows),
    )


def priced(program, prices):
    return Program((*prices, 0.0), program.lower, program.upper, program.whole, program.rows)


@pytest.mark.parametrize("seed", range(8))
def test_a_point_is_the_cheapest_where_its_basis_says_so_and_its_bound_is_one(
    seed,
):
    program, draw = random_program(seed), np.random.default_rng(seed)
    prices = draw.uniform(1.0, 2.0, (60, 7))
    out = np.zeros(prices.shape, dtype=np.bool_)
    laid, warm = Laid.of(program, 7, program.upper[:7]), Warm(program)
    least = np.array([solve(priced(program, one.tolist())).cost for one in prices])
    known = 0
    for one in prices[:20]:
        warm.least(one.tolist())
        vertex = Vertex.of(laid, warm.point(), warm.basis())
        assert vertex is not None
        there = vertex.cheapest_at(prices, out)
        costs = prices @ vertex.x[:7]
        assert costs[there] == pytest.approx(least[there], abs=1e-9)
        assert np.all(vertex.least_at(prices) <= least + 1e-9)
        assert vertex.least_at(one[None])[0] == pytest.approx(one @ vertex.x[:7], abs=1e-9)
        known += int(there.sum())
    assert known > 20  # it is known at more prices than were asked


def test_what_cannot_be_had_is_not_asked_to_pay():
    """One of two; the third would be cheaper and is not to be had."""
    rows = (row("whole", "sum", dict.fromkeys(range(3), 1.0), 1.0, 1.0),)
    program = Program((0.0,) * 3, (0.0,) * 3, (inf,) * 3, (False,) * 3, rows)
    warm = Warm(program)
    warm.least([1.0, 2.0, 0.5], [2])
    vertex = Vertex.of(Laid.of(program, 3, [1.0] * 3), warm.point(), warm.basis())
    prices = np.array([[1.0, 2.0, 0.5]])
    assert vertex.cheapest_at(prices, np.array([[False, False, True]]))[0]
    assert not vertex.cheapest_at(prices, np.array([[False, False, False]]))[0]


def chosen_bench():
    """Five materials, of which one or two of the last three are chosen, each with a dose."""
    shelf = [material(f"m{i}", {"A": 0.15 * i, "B": 0.7 - 0.1 * i}) for i in range(1, 6)]
    rules = [
        share_of("A", 0.3, 0.6),
        share_of("B", 0.1, 0.5, rule_id="B"),
        *(
            Dose(**said(f"dose m{i}"), low=0.05 * i - 0.1, high=0.1 * i, material=f"m{i}")
            for i in (3, 4, 5)
        ),
        Choose(**said("one of them", unit=""), low=1, high=2, among=("m3", "m4", "m5")),
    ]
    return bench(shelf, [3.0, 4.0, 5.0, 6.0, 9.0], rules)


@pytest.mark.reference
def test_scenarios_side_by_side_cost_what_another_solver_says_of_each():
    """Prices, choices and what cannot be had, against CBC asked one by one."""
    from barwright.constraints.rules.rows import rows_of

    of, draw = chosen_bench(), np.random.default_rng(3)
    prices = draw.uniform(0.5, 1.5, (60, 5)) * np.array(of.prices)
    missing = [
        frozenset(name for name in of.material_names if draw.random() < 0.15) for _ in prices
    ]
    costs, shares = Shelf(of, 0.0).cheapest(prices, missing)
    program = program_of(rows_of(of), of.prices)
    none = 0
    for place, out in enumerate(missing):
        ends = [0.0 if name in out else inf for name in of.material_names]
        upper = (*ends, *program.upper[5:])
        asked = Program(
            (*prices[place].tolist(), *program.costs[5:]),
            program.lower,
            upper,
            program.whole,
            program.rows,
        )
        other = second_opinion(asked)
        if not hasattr(other, "cost"):
            none += 1
            assert np.isnan(costs[place])
            continue
        assert costs[place] == pytest.approx(other.cost, abs=1e-7)
        assert prices[place] @ shares[place] == pytest.approx(costs[place], abs=1e-12)
        assert not any(shares[place][of.material_names.index(name)] for name in out)
    assert 0 < none < 30


def test_the_solver_is_asked_less_often_than_there_are_scenarios(monkeypatch):
    of, asked = chosen_bench(), []
    shelf = Shelf(of, 0.0)
    least = Warm.least
    monkeypatch.setattr(Warm, "least", lambda *words: asked.append(words) or least(*words))
    prices = np.random.default_rng(1).uniform(0.5, 1.5, (400, 5)) * np.array(of.prices)
    shelf.cheapest(prices, [frozenset()] * 400)
    assert len(asked) < 100
