"""An answer is proved exactly, repaired where it is wrong, and never believed."""

import subprocess
import sys
from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import inf

import pytest
from barwright.constraints.model.row import Row
from barwright.solver.program.opinion import second_opinion
from barwright.solver.program.outcome import Basis, Infeasible, Optimal, Program
from barwright.solver.program.session import solve
from barwright.solver.proof.duality import Ending, Leaf, Split, covers, on_grid, tree_bound
from barwright.solver.proof.proof import prove, prove_infeasible, resolve
from barwright.solver.proof.proved import (
    ProvedGap,
    ProvedInfeasible,
    ProvedOptimal,
    Unproved,
    Vertex,
)
from hypothesis import given, settings
from hypothesis import strategies as st

PLAIN = (
    "ampl_diet",
    "catfood_six",
    "catfood_two",
    "chvatal_polly",
    "dantzig_alloy",
    "dantzig_alloy_redundant",
    "lpsolve_sensitivity",
    "pulp_sign_max",
    "stigler_1939",
    "taha_ozark_feed",
    "williams_small_blend",
    "winston_degenerate",
    "winston_diet",
)
WHOLE = (
    "cutting_stock_chvatal",
    "martello_toth_change",
    "rounding_costly",
    "rounding_infeasible",
    "westerberg_steel",
)


def sign(case):
    return 1 if case["sense"] == "min" else -1


def program(costs, rows, upper=None, whole=None):
    width = len(costs)
    return Program(
        costs=tuple(map(float, costs)),
        lower=(0.0,) * width,
        upper=tuple(map(float, upper or (inf,) * width)),
        whole=tuple(whole or (False,) * width),
        rows=tuple(
            Row(f"row {i}", "", tuple(range(width)), tuple(map(float, values)), low, high)
            for i, (low, values, high) in enumerate(rows)
        ),
    )


def guess(x, basis=None):
    return Optimal(cost=0.0, x=tuple(x), row_prices=(), column_prices=(), basis=basis)


@pytest.mark.reference
@pytest.mark.parametrize("name", PLAIN)
def test_published_optimum_is_proved(name, published):
    """Sources stand in each case's own file."""
    case, asked = published(name)
    expected = case["expected"]
    proof = prove(asked, solve(asked))
    assert isinstance(proof, ProvedOptimal)
    cost = sign(case) * float(proof.cost)
    assert cost == pytest.approx(expected["objective"], abs=expected["objective_tol"])
    assert proof.apart < 1e-9
    assert abs(proof.excess) < 1e-9
    if expected.get("primal_unique"):
        for column, value in expected["primal"].items():
            x = float(proof.x[case["names"].index(column)])
            assert x == pytest.approx(value, abs=expected["primal_tol"])


@pytest.mark.reference
@pytest.mark.parametrize("name", PLAIN)
def test_a_proof_needs_no_basis(name, published):
    case, asked = published(name)
    proof = prove(asked, second_opinion(asked))
    assert isinstance(proof, ProvedOptimal)
    cost = sign(case) * float(proof.cost)
    assert cost == pytest.approx(
        case["expected"]["objective"], abs=case["expected"]["objective_tol"]
    )


@pytest.mark.reference
@pytest.mark.parametrize("name", PLAIN)
@pytest.mark.parametrize("status", ["lower", "basic"])
def test_a_senseless_basis_costs_pivots_but_not_the_truth(name, status, published):
    case, asked = published(name)
    basis = Basis((status,) * len(asked.costs), ("upper",) * len(asked.rows))
    proof = prove(asked, guess([0.0] * len(asked.costs), basis))
    assert isinstance(proof, ProvedOptimal)
    assert sign(case) * float(proof.cost) == pytest.approx(
        case["expected"]["objective"], abs=case["expected"]["objective_tol"]
    )


@pytest.mark.reference
@pytest.mark.parametrize("name", WHOLE)
def test_published_whole_number_optimum_is_proved(name, published):
    case, asked = published(name)
    proof = prove(asked, solve(asked))
    assert isinstance(proof, ProvedOptimal)
    assert sign(case) * float(proof.cost) == pytest.approx(case["expected"]["objective"], abs=1e-6)
    assert all(x.denominator == 1 for x, w in zip(proof.x, asked.whole, strict=True) if w)


@pytest.mark.reference
@pytest.mark.parametrize(
    "name", ["rounding_costly", "rounding_infeasible", "cutting_stock_chvatal"]
)
def test_the_published_relaxation_is_the_optimum_without_whole_numbers(name, published):
    case, asked = published(name)
    relaxed = resolve(asked, None)
    assert isinstance(relaxed, Vertex)
    assert sign(case) * float(relaxed.cost) == case["expected"]["lp_relaxation"]


@pytest.mark.reference
def test_a_large_choice_settles_for_a_gap_that_holds_the_published_optimum(published):
    """H. P. Williams, Model Building in Mathematical Programming, 12.2: 100,279 pounds.

    The relaxation of this form is published as 107,333; the exact search would take hours.
    """
    case, asked = published("williams_food2")
    answer = solve(asked)
    proof = prove(asked, answer, most_nodes=3)
    assert isinstance(proof, ProvedGap)
    assert float(-proof.cost) == pytest.approx(case["expected"]["objective"], abs=1e-3)
    assert 100279 < -proof.bound < 107333
    assert proof.apart < 1e-6


def test_a_worse_choice_is_improved_on():
    """Two ways to fill a bar, the dearer one shown."""
    asked = program(
        (3.0, 2.0, 0.0, 0.0),
        [
            (1.0, (1.0, 1.0, 0.0, 0.0), 1.0),
            (0.0, (-1.0, 0.0, 1.0, 0.0), inf),
            (0.0, (0.0, -1.0, 0.0, 1.0), inf),
            (1.0, (0.0, 0.0, 1.0, 1.0), 1.0),
        ],
        upper=(1, 1, 1, 1),
        whole=(False, False, True, True),
    )
    proof = prove(asked, guess((1.0, 0.0, 1.0, 0.0)))
    assert isinstance(proof, ProvedOptimal)
    assert (proof.cost, proof.x) == (2, (0, 1, 0, 1))
    assert (proof.apart, proof.excess) == (1.0, 1.0)
    assert not proof.is_shown()


def test_a_choice_that_cannot_be_kept_is_no_hindrance():
    asked = program((1.0, 1.0), [(1.0, (1.0, 1.0), 1.0)], upper=(1, 1), whole=(True, True))
    proof = prove(asked, guess((1.0, 1.0)))
    assert isinstance(proof, ProvedOptimal)
    assert proof.cost == 1


def test_a_whole_number_column_may_rest_on_a_bound_that_is_none():
    """Its lower bound is a tenth: the least whole number above is 1, not 0.1."""
    asked = replace(
        program((1.0, 5.0), [(0.5, (1.0, 1.0), inf)], whole=(True, False)), lower=(0.1, 0.0)
    )
    proof = prove(asked, guess((0.1, 0.4)))
    assert isinstance(proof, ProvedOptimal)
    assert (proof.cost, proof.x) == (1, (1, 0))
    assert prove_infeasible(asked) == Unproved("a point keeps every row")


def test_an_endless_fall_is_not_called_an_optimum():
    assert prove(program((-1.0,), []), guess((0.0,))) == Unproved("the cost falls without end")


def test_a_nearly_optimal_point_is_told_from_the_optimum():
    asked = program((1.0, 2.0), [(1.0, (1.0, 1.0), 1.0)])
    proof = prove(asked, guess((0.999, 0.001)))
    assert isinstance(proof, ProvedOptimal)
    assert proof.apart == pytest.approx(0.001)
    assert proof.excess == pytest.approx(0.001)


def test_bounds_that_are_not_finite_are_refused():
    asked = replace(program((1.0,), []), lower=(-inf,))
    assert prove(asked, guess((0.0,))) == Unproved("column 0: the lower bound is not finite")


@pytest.mark.reference
def test_the_book_diet_with_little_salt_is_proved_impossible(published):
    """Fourer, Gay, Kernighan, AMPL, 2.3: no feasible solution at 40,000 mg of sodium."""
    case, asked = published("ampl_diet2_infeasible")
    assert isinstance(solve(asked), Infeasible)
    proof = prove_infeasible(asked)
    assert isinstance(proof, ProvedInfeasible)
    (leaf,) = proof.tree
    leant_on = {case["rows"][i][0] for i, y in enumerate(leaf.y) if y}
    assert "NA_max" in leant_on  # without it the book finds a diet
    assert proof.breach > 0


@pytest.mark.reference
@pytest.mark.parametrize(("sodium", "found"), [(48185.0, ProvedInfeasible), (48186.0, Vertex)])
def test_the_book_diet_becomes_possible_at_the_least_sodium(sodium, found, published):
    """The same case; 48,186 mg is the smallest limit that can be kept."""
    case, asked = published("ampl_diet2_infeasible")
    place = [row[0] for row in case["rows"]].index("NA_max")
    rows = list(asked.rows)
    rows[place] = replace(rows[place], high=sodium)
    assert isinstance(resolve(replace(asked, rows=tuple(rows)), None), found)


def test_every_part_of_an_impossible_choice_is_shown_empty():
    asked = program(
        (1.0, 1.0, 1.0),
        [(1.5, (1.0, 1.0, 1.0), 1.75), (0.5, (1.0, -1.0, 0.0), 1.0)],
        upper=(1, 1, 1),
        whole=(True, True, True),
    )
    proof = prove_infeasible(asked)
    assert isinstance(proof, ProvedInfeasible)
    assert covers(proof.tree, asked.whole)
    assert len(proof.tree) > 1


def test_what_can_be_kept_is_not_proved_impossible():
    asked = program((1.0,), [(0.5, (1.0,), inf)], whole=(True,))
    assert prove_infeasible(asked) == Unproved("a point keeps every row")


def test_limits_that_cross_are_a_proof_by_themselves():
    crossed = program((1.0,), [(2.0, (1.0,), 1.0)])
    proof = prove_infeasible(crossed)
    assert proof == ProvedInfeasible((Leaf(Ending.CROSSED, ()),), Fraction(1, 2))


def test_shares_that_add_up_as_written_do_so_in_the_proof():
    """0.1 + 0.2 is not 0.3 in floats; a maker who writes 10 %, 20 % and 30 % means that it is."""
    asked = program(
        (1.0, 1.0), [(0.1, (1.0, 0.0), 0.1), (0.2, (0.0, 1.0), 0.2), (0.3, (1.0, 1.0), 0.3)]
    )
    proof = prove(asked, solve(asked))
    assert isinstance(proof, ProvedOptimal)
    assert proof.cost == Fraction(3, 10)


def test_an_answer_that_only_rounding_allows_is_refused_with_its_tiny_breach():
    """A third written with sixteen digits, three times, is not one."""
    third = 1 / 3
    asked = program(
        (1.0, 1.0),
        [(third, (1.0, 0.0), third), (2 * third, (0.0, 1.0), 2 * third), (1.0, (1.0, 1.0), 1.0)],
    )
    proof = prove(asked, solve(asked))
    assert isinstance(proof, ProvedInfeasible)
    assert 0 < proof.breach < Fraction(1, 10**15)


def test_a_tree_that_leaves_a_choice_out_proves_nothing(published):
    _, asked = published("rounding_infeasible")
    proof = prove(asked, solve(asked))
    assert isinstance(proof, ProvedOptimal)
    grid = on_grid(asked)
    assert tree_bound(grid, proof.tree) == proof.cost
    split = next(node for node in proof.tree if isinstance(node, Split))
    doubled = replace(split, above=split.below)
    for tree in (proof.tree[:-1], (doubled, *proof.tree[1:]), ()):
        with pytest.raises(ValueError, match="leaves a choice out"):
            tree_bound(grid, tree)


def test_the_proof_loads_no_float_solver():
    modules = "barwright.solver.sensitivity.sensitivity, barwright.solver.proof.certificate"
    code = f"import sys, {modules}; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not {"pulp", "highspy", "numpy", "barwright.solver.program.session"} & set(
        done.stdout.split()
    )


small = st.integers(-3, 3)


@st.composite
def choices(draw):
    """A small program over two whole numbers from 0 to 3 and up to two shares."""
    width = draw(st.integers(2, 4))
    rows = []
    for _ in range(draw(st.integers(0, 3))):
        low, high = sorted((draw(st.integers(-6, 9)) / 2, draw(st.integers(-6, 9)) / 2))
        values = draw(st.lists(small, min_size=width, max_size=width))
        rows.append((low if draw(st.booleans()) else -inf, values, high))
    costs = draw(st.lists(small, min_size=width, max_size=width))
    whole = (True, True, False, False)[:width]
    return program(costs, rows, upper=(3, 3, 1.5, 1.5)[:width], whole=whole)


def least_by_trying(asked):
    costs = []
    for pair in product(range(4), repeat=2):
        held = replace(
            asked,
            lower=(*map(float, pair), *asked.lower[2:]),
            upper=(*map(float, pair), *asked.upper[2:]),
        )
        found = resolve(held, None)
        costs += [found.cost] if isinstance(found, Vertex) else []
    return min(costs, default=None)


@given(choices(), st.data())
@settings(max_examples=80, deadline=None)
def test_the_choice_proved_is_the_best_of_all_choices_tried(asked, data):
    truth = least_by_trying(asked)
    shown = data.draw(st.lists(st.integers(0, 3), min_size=len(asked.costs), max_size=4))
    proof = prove(asked, guess(map(float, shown[: len(asked.costs)])))
    if truth is None:
        assert isinstance(proof, ProvedInfeasible)
        assert isinstance(prove_infeasible(asked), ProvedInfeasible)
    else:
        assert isinstance(proof, ProvedOptimal)
        assert proof.cost == truth


@given(choices(), st.sampled_from([0.5, 2.0, 8.0]))
@settings(max_examples=40, deadline=None)
def test_scaling_every_price_scales_the_proved_cost(asked, factor):
    scaled = replace(asked, costs=tuple(cost * factor for cost in asked.costs))
    before, after = (prove(one, guess([0.0] * len(asked.costs))) for one in (asked, scaled))
    if isinstance(before, ProvedOptimal):
        assert isinstance(after, ProvedOptimal)
        assert after.cost == before.cost * Fraction(factor)


@given(choices(), st.integers(1, 4))
@settings(max_examples=40, deadline=None)
def test_loosening_a_row_never_costs_more(asked, halves):
    looser = replace(
        asked,
        rows=tuple(
            replace(row, low=row.low - halves / 2, high=row.high + halves / 2) for row in asked.rows
        ),
    )
    before, after = (prove(one, guess([0.0] * len(asked.costs))) for one in (asked, looser))
    if isinstance(before, ProvedOptimal):
        assert isinstance(after, ProvedOptimal)
        assert after.cost <= before.cost
