"""What a limit or a price is worth, each way, is what moving it really costs."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import inf

import pytest
from barwright.constraints.model.row import Row
from barwright.solver.program.opinion import second_opinion
from barwright.solver.program.outcome import Optimal, Program
from barwright.solver.program.session import solve
from barwright.solver.proof.proof import prove, resolve
from barwright.solver.proof.proved import ProvedInfeasible, ProvedOptimal, Unproved, Vertex
from barwright.solver.sensitivity.columns import break_evens, column_prices, tied
from barwright.solver.sensitivity.curves import limit_curve, moved, price_curve
from barwright.solver.sensitivity.ground import ground_of
from barwright.solver.sensitivity.limits import Side, limit_prices
from barwright.solver.sensitivity.sensitivity import sensitivity
from hypothesis import assume, given, settings
from hypothesis import strategies as st

UNIQUE = ("catfood_six", "chvatal_polly", "pulp_sign_max", "williams_small_blend", "winston_diet")
DEGENERATE = ("ampl_diet", "dantzig_alloy", "winston_degenerate")


def sign(case):
    return 1 if case["sense"] == "min" else -1


def start(asked):
    """The answer to be explained, without asking a solver: any point will do as a hint."""
    return Optimal(0.0, asked.lower, (), (), None)


def by_name(case, found):
    return {case["rows"][price.row][0]: price for price in found.limits}


@pytest.mark.reference
@pytest.mark.parametrize("name", [*UNIQUE, "lpsolve_sensitivity"])
def test_published_row_prices_hold_both_ways(name, published):
    """Sources stand in each case's own file; prices there are in the problem's own sense."""
    case, asked = published(name)
    prices = by_name(case, sensitivity(asked, start(asked)))
    for row, price in case["expected"]["duals"].items():
        for step in (prices[row].down, prices[row].up):
            tolerance = case["expected"].get("dual_tol", 1e-8)
            assert sign(case) * float(step.price) == pytest.approx(price, abs=tolerance)


@pytest.mark.reference
@pytest.mark.parametrize("name", DEGENERATE)
def test_published_one_sided_prices_are_told_apart(name, published):
    case, asked = published(name)
    prices = by_name(case, sensitivity(asked, start(asked)))
    for row, (down, up) in case["expected"]["one_sided"].items():
        assert sign(case) * float(prices[row].down.price) == pytest.approx(down, abs=1e-6)
        assert sign(case) * float(prices[row].up.price) == pytest.approx(up, abs=1e-6)


@pytest.mark.reference
def test_a_limit_that_repeats_others_cannot_move_at_all(published):
    """Dantzig's alloys with the row that sums to one: lead, zinc and tin say it already."""
    _, asked = published("dantzig_alloy_redundant")
    for price in sensitivity(asked, start(asked)).limits:
        for step in (price.down, price.up):
            assert (step.price, step.reach, step.last) == (None, 0, True)


@pytest.mark.reference
def test_the_two_solvers_that_differ_on_the_alloys_are_both_within_the_interval(published):
    case, asked = published("dantzig_alloy")
    prices = by_name(case, sensitivity(asked, start(asked)))
    for figures in (v for v in case["expected"]["solvers"].values() if isinstance(v, dict)):
        for row, printed in figures.items():
            between = float(prices[row].down.price), float(prices[row].up.price)
            assert between[0] - 1e-9 <= printed <= between[1] + 1e-9


@pytest.mark.reference
@pytest.mark.parametrize("name", [*UNIQUE, *DEGENERATE, "lpsolve_sensitivity"])
@pytest.mark.parametrize("ask", [solve, second_opinion], ids=["HiGHS", "CBC"])
def test_a_solvers_own_price_lies_between_the_two_sides(name, ask, published):
    _, asked = published(name)
    answer = ask(asked)
    for price in limit_prices(asked, answer):
        low, high = float(price.down.price), float(price.up.price)
        if price.side is not Side.BOTH:
            # the row has one price for both its limits: at most one of them is not 0
            low, high = min(low, 0.0), max(high, 0.0)
        # CBC hands over seven digits
        assert low - 1e-5 <= answer.row_prices[price.row] <= high + 1e-5


@pytest.mark.reference
@pytest.mark.parametrize("name", ["winston_diet", "lpsolve_sensitivity"])
def test_published_cost_ranges(name, published):
    case, asked = published(name)
    columns = sensitivity(asked, start(asked)).columns
    for column, (low, high) in case["expected"]["cost_ranges"].items():
        found = columns[case["names"].index(column)]
        tolerance = case["expected"]["range_tol"]
        assert float(found.low) == pytest.approx(low, abs=tolerance)
        if high is None:
            assert found.high is None
        else:
            assert float(found.high) == pytest.approx(high, abs=tolerance)


@pytest.mark.reference
@pytest.mark.parametrize("name", ["winston_diet", "lpsolve_sensitivity"])
def test_published_limit_ranges(name, published):
    """The range of a right-hand side over which its price holds."""
    case, asked = published(name)
    prices = by_name(case, sensitivity(asked, start(asked)))
    for row, (low, high) in case["expected"]["rhs_ranges"].items():
        limit = asked.rows[prices[row].row].low
        assert limit - float(prices[row].down.reach) == pytest.approx(low, abs=1e-4)
        if high is None:
            assert prices[row].up.reach is None
        else:
            assert limit + float(prices[row].up.reach) == pytest.approx(high, abs=1e-4)


@pytest.mark.reference
@pytest.mark.parametrize("name", ["winston_diet", "lpsolve_sensitivity"])
def test_published_reduced_costs_are_the_fall_in_price_that_brings_a_column_in(name, published):
    case, asked = published(name)
    columns = sensitivity(asked, start(asked)).columns
    for column, reduced in case["expected"]["reduced_costs"].items():
        place = case["names"].index(column)
        fall = asked.costs[place] - float(columns[place].comes_in)
        assert fall == pytest.approx(reduced, abs=1e-6)


@pytest.mark.reference
def test_a_ratio_limit_is_priced_by_moving_its_coefficients(published):
    """Williams, Model Building, 6.2: 3.7037 a ton-hardness on 450 t is 1666.7 a point."""
    case, asked = published("williams_small_blend")
    answer = prove(asked, start(asked))
    assert isinstance(answer, ProvedOptimal)
    place = [row[0] for row in case["rows"]].index("hard_max")
    row, step = asked.rows[place], 2.0**-12
    assert case["names"][row.columns[-1]] == "make"
    softer = replace(row, values=(*row.values[:-1], row.values[-1] - step))
    after = moved(asked, answer, {place: softer})
    assert isinstance(after, Vertex)
    assert float(answer.cost - after.cost) / step == pytest.approx(1666.7, abs=0.1)


@pytest.mark.reference
def test_the_diets_curve_bends_where_the_published_ranges_end(published):
    """Winston, 5.2: the chocolate limit keeps its price of 2.5 cents from 22/7 to 10 oz."""
    case, asked = published("winston_diet")
    place = [row[0] for row in case["rows"]].index("chocolate")
    curve = limit_curve(asked, start(asked), (place, Side.LOW), 0.0, 12.0)
    places = [at for at, _ in curve.points]
    assert Fraction(22, 7) in places
    assert 10 in places
    assert curve.cost_at(Fraction(6)) == 90
    assert curve.cost_at(Fraction(8)) == 95
    assert (places[0], places[-1]) == (0, 12)


@pytest.mark.reference
def test_the_diets_cost_bends_where_the_published_price_range_ends(published):
    """Winston, 5.2: ice cream may cost from 15 to 38.33 cents and the diet stays as it is."""
    case, asked = published("winston_diet")
    curve = price_curve(asked, start(asked), case["names"].index("ice_cream"), 0.0, 50.0)
    assert {Fraction(15), Fraction(115, 3)} <= {at for at, _ in curve.points}


def test_a_curve_ends_where_answers_end(published):
    _, asked = published("dantzig_alloy")
    curve = limit_curve(asked, start(asked), (0, Side.BOTH), 0.0, 100.0)
    ends = float(curve.points[0][0]), float(curve.points[-1][0])
    assert ends == pytest.approx((15.185185, 56.086957), abs=1e-6)
    assert curve.cost_at(Fraction(60)) is None


def test_a_limit_that_is_not_there_has_no_curve(published):
    _, asked = published("winston_diet")
    with pytest.raises(ValueError, match="no limit"):
        limit_curve(asked, start(asked), (0, Side.HIGH), 0.0, 1.0)
    with pytest.raises(ValueError, match="not an interval"):
        limit_curve(asked, start(asked), (0, Side.LOW), 1.0, 0.0)


def test_where_nothing_can_be_kept_nothing_has_a_price(published):
    _, asked = published("ampl_diet2_infeasible")
    assert isinstance(sensitivity(asked, start(asked)), Unproved)


@pytest.mark.reference
def test_prices_under_a_choice_name_the_choice(published):
    """Westerberg's steel: with ingots 1, 2 and 4 bought, prices are of the alloys and scrap."""
    case, asked = published("westerberg_steel")
    found = sensitivity(asked, solve(asked))
    assert found.choice == ((0, 1), (1, 1), (2, 0), (3, 1))
    assert [case["names"][c.column] for c in found.columns] == [
        "alloy1",
        "alloy2",
        "alloy3",
        "scrap",
    ]


small = st.integers(-3, 3)


@st.composite
def programs(draw):
    """Small boxed programs with few distinct numbers, so that many are degenerate."""
    width = draw(st.integers(1, 4))
    rows = []
    for i in range(draw(st.integers(1, 4))):
        values = draw(st.lists(small, min_size=width, max_size=width))
        low, high = sorted((draw(st.integers(-4, 4)) / 2, draw(st.integers(-4, 4)) / 2))
        kind = draw(st.sampled_from(["low", "high", "range", "equal"]))
        rows.append(
            Row(
                f"row {i}",
                "",
                tuple(range(width)),
                tuple(map(float, values)),
                -inf if kind == "high" else low,
                inf if kind == "low" else (low if kind == "equal" else high),
            )
        )
    costs = draw(st.lists(small, min_size=width, max_size=width))
    tops = draw(st.lists(st.sampled_from([0.5, 1.0, 2.0]), min_size=width, max_size=width))
    return Program(
        tuple(map(float, costs)), (0.0,) * width, tuple(tops), (False,) * width, tuple(rows)
    )


def feasible(asked):
    before = resolve(asked, None)
    assume(isinstance(before, Vertex))
    return before


def with_limit(asked, price, by):
    """The program with a limit moved by a number that is exactly a double."""
    row = asked.rows[price.row]
    low = row.low + float(by) if price.side is not Side.HIGH else row.low
    high = row.high + float(by) if price.side is not Side.LOW else row.high
    rows = list(asked.rows)
    rows[price.row] = replace(row, low=low, high=high)
    return replace(asked, rows=tuple(rows))


def dyadic(value):
    """The largest multiple of 2⁻¹⁰ that is not above ``value``."""
    return Fraction((value * 2**10).__floor__(), 2**10)


def with_price(asked, column, price):
    costs = list(asked.costs)
    costs[column] = float(price)
    return replace(asked, costs=tuple(costs))


@given(programs())
@settings(max_examples=60, deadline=None)
def test_each_price_is_confirmed_by_moving_the_limit_and_solving_again(asked):
    before = feasible(asked)
    for price in limit_prices(asked, start(asked)):
        for way, step in ((-1, price.down), (+1, price.up)):
            inside = Fraction(3) if step.reach is None else dyadic(step.reach)
            for by in {inside, inside / 2} if step.price is not None else ():
                after = resolve(with_limit(asked, price, way * by), before.basis)
                assert isinstance(after, Vertex)
                assert after.cost == before.cost + way * by * step.price
            if step.reach is None:
                continue
            past = dyadic(step.reach) + Fraction(1, 2**9)
            after = resolve(with_limit(asked, price, way * past), before.basis)
            if step.last:
                assert isinstance(after, ProvedInfeasible)
            else:
                assert after.cost > before.cost + way * past * step.price


@given(programs())
@settings(max_examples=60, deadline=None)
def test_loosening_a_limit_is_never_dearer_and_tightening_never_cheaper(asked):
    feasible(asked)
    for price in limit_prices(asked, start(asked)):
        steps = [step for step in (price.down, price.up) if step.price is not None]
        if price.side is Side.LOW:
            assert all(step.price >= 0 for step in steps)
        if price.side is Side.HIGH:
            assert all(step.price <= 0 for step in steps)
        if len(steps) == 2:
            assert steps[0].price <= steps[1].price


@given(programs(), st.data())
@settings(max_examples=30, deadline=None)
def test_a_limits_curve_is_what_solving_at_each_limit_gives(asked, data):
    before = feasible(asked)
    price = data.draw(st.sampled_from(limit_prices(asked, start(asked))))
    row = asked.rows[price.row]
    origin = row.high if price.side is Side.HIGH else row.low
    first, last = sorted(data.draw(st.tuples(st.integers(-8, 8), st.integers(-8, 8))))
    curve = limit_curve(asked, start(asked), (price.row, price.side), float(first), float(last))
    for k in range(4 * first, 4 * last + 1):
        at = Fraction(k, 4)
        after = resolve(with_limit(asked, price, at - Fraction(origin)), before.basis)
        assert curve.cost_at(at) == (after.cost if isinstance(after, Vertex) else None)
    slopes = [(cost_b - cost_a) / (b - a) for (a, cost_a), (b, cost_b) in pairwise(curve.points)]
    assert all(one < other for one, other in pairwise(slopes))


@given(programs(), st.data())
@settings(max_examples=30, deadline=None)
def test_a_prices_curve_is_what_solving_at_each_price_gives(asked, data):
    before = feasible(asked)
    column = data.draw(st.integers(0, len(asked.costs) - 1))
    curve = price_curve(asked, start(asked), column, -6.0, 6.0)
    for k in range(-12, 13):
        at = Fraction(k, 2)
        after = resolve(with_price(asked, column, at), before.basis)
        assert curve.cost_at(at) == after.cost


@given(programs())
@settings(max_examples=60, deadline=None)
def test_a_price_range_is_where_the_answer_stays_and_a_column_comes_in_below(asked):
    answer = prove(asked, start(asked))
    assume(isinstance(answer, ProvedOptimal))
    for found in column_prices(asked, answer):
        j, x = found.column, answer.x[found.column]
        price = Fraction(asked.costs[j])
        for end, way in ((found.low, -1), (found.high, +1)):
            room = Fraction(5) if end is None else dyadic(abs(end - price))
            inside = resolve(with_price(asked, j, price + way * room), answer.basis)
            assert inside.cost == answer.cost + way * room * x
            if end is not None:
                beyond = room + Fraction(1, 2**9)
                after = resolve(with_price(asked, j, price + way * beyond), answer.basis)
                assert after.cost < answer.cost + way * beyond * x
        if found.comes_in is not None:
            # below that price the answer uses it, so doing without would cost more
            cheap = with_price(asked, j, dyadic(found.comes_in) - Fraction(1, 2**9))
            without = replace(
                cheap, upper=tuple(0.0 if k == j else u for k, u in enumerate(cheap.upper))
            )
            assert resolve(cheap, None).cost < resolve(without, None).cost


@given(programs(), st.sampled_from([0.5, 4.0]))
@settings(max_examples=40, deadline=None)
def test_scaling_every_price_scales_the_price_of_every_limit(asked, factor):
    feasible(asked)
    scaled = replace(asked, costs=tuple(cost * factor for cost in asked.costs))
    pairs = zip(limit_prices(asked, start(asked)), limit_prices(scaled, start(scaled)), strict=True)
    for one, other in pairs:
        for before, after in ((one.down, other.down), (one.up, other.up)):
            assert (before.reach, before.last) == (after.reach, after.last)
            if before.price is not None:
                assert after.price == before.price * Fraction(factor)


@given(st.data())
@settings(max_examples=60)
def test_break_even_prices_from_one_basis_are_those_of_the_walk_over_every_corner(data):
    # prices and limits from few values: ties and corners where more rows meet than needed
    few = st.sampled_from([0.0, 5.0, 10.0, 20.0])
    width = data.draw(st.integers(2, 6))
    costs = tuple(data.draw(few) for _ in range(width))
    rows = [Row("whole", "", tuple(range(width)), (1.0,) * width, 1.0, 1.0)]
    for k in range(data.draw(st.integers(1, 4))):
        values = tuple(data.draw(st.sampled_from([-1.0, 0.5, 1.0, 2.0])) for _ in range(width))
        low = data.draw(st.sampled_from([-inf, 0.0, 0.25, 0.5]))
        rows.append(Row(f"r{k}", "", tuple(range(width)), values, low, 1.0))
    plain = Program(costs, (0.0,) * width, (inf,) * width, (False,) * width, tuple(rows))
    answer = solve(plain)
    assume(isinstance(answer, Optimal))
    ground = ground_of(plain, answer)
    walked = {one.column: one for one in column_prices(plain, answer)}
    for column, comes_in in break_evens(ground, plain, range(width)):
        assert comes_in == walked[column].comes_in
    ends = {
        column
        for column, one in walked.items()
        if Fraction(str(costs[column])) in {one.low, one.high}
    }
    assert set(tied(ground, plain, range(width))) == ends
