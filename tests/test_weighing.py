"""Weights are whole scale steps, add up exactly, and keep every rule for what is really weighed."""

from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import inf

import pytest
from barwright.constraints.model.brief import Balance
from barwright.constraints.model.row import WHOLE, Row, Rows
from barwright.solver.program.outcome import Infeasible
from barwright.workshop.weighing import grid as grid_module
from barwright.workshop.weighing.grid import Aim, Grid, Line, best
from barwright.workshop.weighing.weighing import weigh
from barwright.workshop.weighing.weight import Unweighable, Weighed, decimal
from hypothesis import given, settings
from hypothesis import strategies as st

FINE = Balance("fine", step=1e-5, capacity=0.3, least=5e-4)
COARSE = Balance("coarse", step=1e-3, capacity=5.0, least=5e-3)
GRAM = Balance("gram", step=1e-3, capacity=10.0, least=1e-3)


def rows_over(names: tuple[str, ...], *rows: Row, choices: tuple[str, ...] = ()) -> Rows:
    whole = Row(WHOLE, "sum", tuple(range(len(names))), (1.0,) * len(names), 1.0, 1.0)
    return Rows(names, choices, (whole, *rows))


def kept_exactly(rows: Rows, found: Weighed) -> bool:
    """Every row in rational numbers, from the weights alone."""
    masses = {w.material: w.steps * Fraction(str(w.step)) for w in found.weights}
    batch = sum(masses.values())
    x = [masses.get(name, Fraction()) / batch for name in rows.materials]
    x += [Fraction(int(name in masses)) for name in rows.choices]
    for row in rows.rows:
        value = sum(Fraction(str(v)) * x[j] for j, v in zip(row.columns, row.values, strict=True))
        if row.low != -inf and value < Fraction(str(row.low)):
            return False
        if row.high != inf and value > Fraction(str(row.high)):
            return False
    return True


NAMES = ("powder", "wax", "oil", "water", "betaine", "humectant", "preservative")
IDEAL = dict(zip(NAMES, (0.41237, 0.2513, 0.1491, 0.12003, 0.05, 0.0118, 0.0054), strict=True))
RULES = rows_over(
    NAMES,
    Row("dose", "at least", (6, 7), (1.0, -0.0054), 0.0, inf),
    Row("dose", "at most", (6, 7), (1.0, -0.006), -inf, 0.0),
    Row("wax to oil", "at least", (1, 2), (1.0, -1.6), 0.0, inf),
    Row("active", "share", (0, 4), (0.85, 0.3), 0.3655145, inf),
    choices=("preservative",),
)
PRICES = dict(zip(NAMES, (9.0, 8.0, 12.0, 0.01, 3.0, 4.0, 30.0), strict=True))


@pytest.mark.parametrize("batch_kg", [0.333, 0.5, 1.0, 2.7182, 12.3456])
def test_every_rule_holds_for_what_is_weighed_and_the_batch_is_exact(batch_kg: float) -> None:
    found = weigh(RULES, IDEAL, PRICES, (FINE, COARSE), batch_kg)
    assert isinstance(found, Weighed)
    assert kept_exactly(RULES, found)
    total = sum(weight.steps * Fraction(str(weight.step)) for weight in found.weights)
    assert total == Fraction(str(found.batch))
    assert (total / max(Fraction(str(weight.step)) for weight in found.weights)).denominator == 1
    assert batch_kg <= found.batch < batch_kg + max(weight.step for weight in found.weights)
    assert [weight.material for weight in found.weights] == list(NAMES)


def test_plain_rounding_is_reported_with_the_rules_it_breaks() -> None:
    """0.5 kg: the ideal weights rounded one by one make 500.01 g, and 2.7 g in it is too little."""
    found = weigh(RULES, IDEAL, PRICES, (FINE, COARSE), 0.5)
    assert isinstance(found, Weighed)
    assert found.plain == pytest.approx(0.50001, abs=1e-12)
    assert "dose" in found.plain_breaks


def test_a_weight_exactly_at_its_limit_keeps_it() -> None:
    rows = rows_over(("a", "b"), Row("at most", "share", (0,), (1.0,), -inf, 0.3))
    ideal = {"a": 0.1 + 0.2, "b": 0.7}
    found = weigh(rows, ideal, {"a": 1.0, "b": 1.0}, (GRAM,), 0.01)
    assert isinstance(found, Weighed)
    assert [weight.steps for weight in found.weights] == [3, 7]
    assert found.distance == 0.0
    assert found.plain_breaks == ()


def test_a_ratio_whose_limits_cancel_to_dust_is_no_rule_on_that_material() -> None:
    """0.6 − 3·0.2 leaves −1.1e-16 in floats: nothing to trip a limit over."""
    dust = 0.6 - 3 * 0.2
    assert dust != 0
    rows = rows_over(("a", "b"), Row("ratio", "at most", (0, 1), (dust, 1.0), -inf, 0.5))
    found = weigh(rows, {"a": 0.5, "b": 0.5}, {"a": 1.0, "b": 1.0}, (GRAM,), 0.01)
    assert isinstance(found, Weighed)
    assert [weight.steps for weight in found.weights] == [5, 5]


def test_each_material_goes_on_the_finest_balance_that_holds_it_and_reads_so_little() -> None:
    found = weigh(RULES, IDEAL, PRICES, (COARSE, FINE), 1.0)
    assert isinstance(found, Weighed)
    on = {weight.material: weight.balance for weight in found.weights}
    assert on["powder"] == "coarse"
    assert {on[name] for name in NAMES[1:]} == {"fine"}


def test_a_load_above_every_capacity_is_split_into_loads_that_fit() -> None:
    found = weigh(RULES, IDEAL, PRICES, (FINE, COARSE), 40.0)
    assert isinstance(found, Weighed)
    powder = found.weights[0]
    assert len(powder.loads) == 4
    assert sum(map(decimal, powder.loads)) == powder.exact
    assert all(load <= COARSE.capacity for load in powder.loads)
    assert max(powder.loads) - min(powder.loads) < 1.001 * COARSE.step


def test_a_load_between_two_balances_is_split_on_the_one_that_reads_it() -> None:
    fine = Balance("fine", 1e-5, 0.3, 5e-4)
    coarse = Balance("coarse", 1e-3, 5.0, 0.5)
    rows = rows_over(("a", "b"))
    found = weigh(rows, {"a": 0.4, "b": 0.6}, {"a": 1.0, "b": 1.0}, (fine, coarse), 1.0)
    assert isinstance(found, Weighed)
    assert [(w.balance, w.loads) for w in found.weights] == [
        ("fine", (0.2, 0.2)),
        ("coarse", (0.6,)),
    ]


def test_a_weight_too_small_for_every_balance_is_said_with_what_would_read_it() -> None:
    found = weigh(RULES, IDEAL, PRICES, (FINE, COARSE), 0.05)
    assert isinstance(found, Unweighable)
    assert found.too_little == ("preservative",)
    assert found.clash == ()
    assert (Balance("fine", 1e-6, 0.3, 5e-5),) in found.finer
    assert found.bigger == pytest.approx(0.1)


def test_where_no_weights_keep_the_rules_the_clash_and_the_ways_out_are_named() -> None:
    """A share of exactly 12.5 % takes a batch of eighths or a step of half a gram or less."""
    rows = rows_over(
        ("a", "b"),
        Row("eighth", "share", (0,), (1.0,), 0.125, 0.125),
        Row("loose", "share", (1,), (1.0,), 0.5, 0.99),
    )
    found = weigh(rows, {"a": 0.125, "b": 0.875}, {"a": 1.0, "b": 1.0}, (GRAM,), 0.01)
    assert isinstance(found, Unweighable)
    assert found.clash == ("eighth",)
    assert found.plain_breaks == ("eighth",)
    assert [[(b.name, b.step) for b in way] for way in found.finer] == [[("gram", 1e-5)]]
    assert found.bigger == pytest.approx(0.04)


def test_every_way_out_really_leads_out() -> None:
    rows = rows_over(("a", "b"), Row("third", "share", (0,), (1.0,), 0.3333, 0.3334))
    ideal, prices = {"a": 1 / 3, "b": 2 / 3}, {"a": 1.0, "b": 1.0}
    found = weigh(rows, ideal, prices, (GRAM,), 0.01)
    assert isinstance(found, Unweighable)
    assert found.bigger is not None
    assert isinstance(weigh(rows, ideal, prices, (GRAM,), found.bigger), Weighed)
    assert isinstance(weigh(rows, ideal, prices, found.finer[0], 0.01), Weighed)


def test_only_the_batches_offered_are_tried() -> None:
    rows = rows_over(("a", "b"), Row("eighth", "share", (0,), (1.0,), 0.125, 0.125))
    ideal, prices = {"a": 0.125, "b": 0.875}, {"a": 1.0, "b": 1.0}
    found = weigh(rows, ideal, prices, (GRAM,), 0.01, bigger=(0.011, 0.013, 0.016, 0.024))
    assert isinstance(found, Unweighable)
    assert found.bigger == pytest.approx(0.016)


def test_a_choice_counts_as_made_where_the_material_is_used() -> None:
    either = Row("not both", "choice", (2, 3), (1.0, 1.0), -inf, 1.0)
    rows = rows_over(("a", "b"), either, choices=("a", "b"))
    found = weigh(rows, {"a": 0.5, "b": 0.5}, {"a": 1.0, "b": 1.0}, (GRAM,), 0.01)
    assert isinstance(found, Unweighable)
    assert found.clash == ("not both",)
    assert found.finer == ()
    assert found.bigger is None
    alone = weigh(rows, {"a": 1.0}, {"a": 1.0}, (GRAM,), 0.01)
    assert isinstance(alone, Weighed)


def test_of_weights_equally_near_the_cheaper_are_taken() -> None:
    """5 g and 5 g of an ideal 4.5 and 5.5 and their mirror image are as near; prices decide."""
    rows = rows_over(("a", "b", "c"))
    ideal = {"a": 0.25, "b": 0.25, "c": 0.5}
    for prices, steps in (
        ({"a": 1.0, "b": 9.0, "c": 1.0}, [3, 2, 5]),
        ({"a": 9.0, "b": 1.0, "c": 1.0}, [2, 3, 5]),
    ):
        found = weigh(rows, ideal, prices, (GRAM,), 0.01)
        assert isinstance(found, Weighed)
        assert [weight.steps for weight in found.weights] == steps


def test_scaling_every_price_scales_the_cost_and_moves_no_weight() -> None:
    once = weigh(RULES, IDEAL, PRICES, (FINE, COARSE), 1.0)
    dearer = {name: 7 * price for name, price in PRICES.items()}
    seven = weigh(RULES, IDEAL, dearer, (FINE, COARSE), 1.0)
    assert isinstance(once, Weighed)
    assert isinstance(seven, Weighed)
    assert seven.cost == pytest.approx(7 * once.cost)
    assert seven.weights == once.weights


def test_what_cannot_be_meant_is_refused() -> None:
    rows = rows_over(("a", "b"))
    with pytest.raises(ValueError, match="balance"):
        weigh(rows, {"a": 1.0}, {"a": 1.0}, (), 1.0)
    with pytest.raises(ValueError, match="batch"):
        weigh(rows, {"a": 1.0}, {"a": 1.0}, (GRAM,), 0.0)
    with pytest.raises(KeyError, match="c"):
        weigh(rows, {"a": 0.5, "c": 0.5}, {"a": 1.0, "c": 1.0}, (GRAM,), 1.0)


# Brute force: every point of small grids, in rational numbers.

_TENTHS = st.integers(-20, 20).map(lambda tenths: tenths / 10)


@st.composite
def small_problems(draw: st.DrawFn) -> tuple[Rows, dict[str, float], dict[str, float], int]:
    names = ("a", "b", "c", "d")[: draw(st.integers(2, 4))]
    parts = draw(st.lists(st.integers(1, 400), min_size=len(names), max_size=len(names)))
    ideal = {name: part / sum(parts) for name, part in zip(names, parts, strict=True)}
    rows = []
    for k in range(draw(st.integers(0, 3))):
        values = draw(st.lists(_TENTHS, min_size=len(names), max_size=len(names)))
        columns = tuple(j for j, value in enumerate(values) if value)
        at_ideal = sum(value * ideal[name] for name, value in zip(names, values, strict=True))
        low = round(at_ideal - draw(st.integers(0, 30)) / 100, 3)
        high = round(at_ideal + draw(st.integers(0, 30)) / 100, 3)
        kept = tuple(values[j] for j in columns)
        rows.append(Row(f"rule {k}", "share", columns, kept, low, high))
    prices = {name: draw(st.integers(1, 50)) / 2 for name in names}
    return rows_over(names, *rows), ideal, prices, draw(st.integers(len(names), 14))


def brute_force(
    rows: Rows, ideal: dict[str, float], prices: dict[str, float], grams: int
) -> list[tuple[Fraction, Fraction, tuple[int, ...]]]:
    """(distance, cost, steps) of every way to weigh the batch that keeps the rules."""
    shares = [Fraction(f"{ideal[name]:.12g}") for name in rows.materials]
    if any(share * grams < Fraction(1, 2) for share in shares):
        return []
    points = []
    for steps in product(range(1, grams + 1), repeat=len(shares)):
        x = [Fraction(n, grams) for n in steps]
        kept = all(
            Fraction(str(row.low))
            <= sum(Fraction(str(v)) * x[j] for j, v in zip(row.columns, row.values, strict=True))
            <= Fraction(str(row.high))
            for row in rows.rows
        )
        if kept:
            ideals = [share * grams for share in shares]
            distance = sum(abs(n - g) / g for n, g in zip(steps, ideals, strict=True))
            cost = sum(
                Fraction(str(prices[name])) * n / 1000
                for name, n in zip(rows.materials, steps, strict=True)
            )
            points.append((distance, cost, steps))
    return points


@settings(max_examples=30, deadline=None)
@given(small_problems())
def test_the_answer_is_the_nearest_of_the_whole_grid_and_then_the_cheapest(
    problem: tuple[Rows, dict[str, float], dict[str, float], int],
) -> None:
    rows, ideal, prices, grams = problem
    found = weigh(rows, ideal, prices, (GRAM,), grams / 1000, bigger=())
    points = brute_force(rows, ideal, prices, grams)
    if not points:
        assert isinstance(found, Unweighable)
        return
    assert isinstance(found, Weighed)
    assert kept_exactly(rows, found)
    nearest = min(distance for distance, _, _ in points)
    assert found.distance == pytest.approx(float(nearest), abs=1e-6)
    alike = [cost for distance, cost, _ in points if distance <= nearest + Fraction(1, 10**9)]
    assert found.cost <= float(min(alike)) + 1e-9


@settings(max_examples=30, deadline=None)
@given(small_problems())
def test_cheapest_first_finds_the_cheapest_of_the_whole_grid(
    problem: tuple[Rows, dict[str, float], dict[str, float], int],
) -> None:
    rows, ideal, prices, grams = problem
    found = weigh(rows, ideal, prices, (GRAM,), grams / 1000, aim=Aim.CHEAPEST, bigger=())
    points = brute_force(rows, ideal, prices, grams)
    if not points:
        assert isinstance(found, Unweighable)
        return
    assert isinstance(found, Weighed)
    assert found.cost == pytest.approx(float(min(cost for _, cost, _ in points)), abs=1e-9)


@settings(max_examples=20, deadline=None)
@given(small_problems())
def test_a_batch_that_cannot_be_weighed_exactly_is_weighed_with_a_little_left_over(
    problem: tuple[Rows, dict[str, float], dict[str, float], int],
) -> None:
    """By brute force over every total from the batch to a half more of it."""
    rows, ideal, prices, grams = problem
    found = weigh(rows, ideal, prices, (GRAM,), grams / 1000, bigger=(), leftover=0.5)
    if any(Fraction(f"{share:.12g}") * grams < Fraction(1, 2) for share in ideal.values()):
        return
    exact = brute_force(rows, ideal, prices, grams)
    totals = range(grams + 1, grams + grams // 2 + 1)
    more = [point for total in totals for point in brute_force(rows, ideal, prices, total)]
    if not exact and not more:
        assert isinstance(found, Unweighable)
        return
    assert isinstance(found, Weighed)
    assert kept_exactly(rows, found)
    if exact:
        assert found.batch == found.asked
        return
    assert found.asked < found.batch <= 1.5 * found.asked + 1e-12
    ideals = [Fraction(f"{ideal[name]:.12g}") * grams for name in rows.materials]
    nearest = min(
        sum(abs(n - g) / g for n, g in zip(steps, ideals, strict=True)) for _, _, steps in more
    )
    assert found.distance == pytest.approx(float(nearest), abs=1e-6)
    for weight in found.weights:
        assert weight.ideal == pytest.approx(ideal[weight.material] * found.batch)


def test_the_cup_under_a_load_counts_against_what_a_balance_carries() -> None:
    """290 g do not go on a balance for 300 g in a cup of 12 g, tared or not."""
    rows, ideal, prices = rows_over(("a", "b")), {"a": 0.29, "b": 0.71}, {"a": 1.0, "b": 1.0}
    for cup, on in ((0.0, "fine"), (0.012, "coarse")):
        found = weigh(rows, ideal, prices, (replace(FINE, cup=cup), COARSE), 1.0)
        assert isinstance(found, Weighed)
        assert found.weights[0].balance == on


# Published cases. Both: Hillier & Lieberman, Introduction to Operations Research, "Some
# perspectives on solving integer programming problems".


def textbook_grid(*lines: Line, target: tuple[Fraction, ...], price: tuple[int, ...]) -> Grid:
    one = Fraction(1)
    return Grid(target, (0, 0), (20, 20), (one, one), tuple(map(Fraction, price)), lines)


def line(rule: str, values: tuple[int, int], high: Fraction) -> Line:
    return Line(rule, tuple(map(Fraction, values)), None, high)


@pytest.mark.reference
def test_rounding_that_stays_within_the_rules_can_still_be_costly() -> None:
    """Maximise x1 + 5 x2, x1 + 10 x2 ≤ 20, x1 ≤ 2: LP 11 at (2, 1.8), rounded 7, best 10."""
    grid = textbook_grid(
        line("c1", (1, 10), Fraction(20)),
        line("c2", (1, 0), Fraction(2)),
        target=(Fraction(2), Fraction(9, 5)),
        price=(-1, -5),
    )
    assert grid.plain() == (2, 2)
    assert grid.broken(grid.plain()) == ("c1",)
    near = best(grid, (Aim.NEAREST, Aim.CHEAPEST))
    assert near == (2, 1)
    assert grid.measure(Aim.CHEAPEST, near) == -7
    cheap = best(grid, (Aim.CHEAPEST, Aim.NEAREST))
    assert cheap == (0, 2)
    assert grid.measure(Aim.CHEAPEST, cheap) == -10


@pytest.mark.reference
def test_rounding_up_or_down_can_break_the_rules_either_way() -> None:
    """Maximise x2, −x1 + x2 ≤ 1/2, x1 + x2 ≤ 7/2: LP (1.5, 2); (1, 2), (2, 2) out; best 1."""
    grid = textbook_grid(
        line("c1", (-1, 1), Fraction(1, 2)),
        line("c2", (1, 1), Fraction(7, 2)),
        target=(Fraction(3, 2), Fraction(2)),
        price=(0, -1),
    )
    assert grid.broken((1, 2)) == ("c1",)
    assert grid.broken((2, 2)) == ("c2",)
    for aims in ((Aim.NEAREST, Aim.CHEAPEST), (Aim.CHEAPEST, Aim.NEAREST)):
        found = best(grid, aims)
        assert found in {(1, 1), (2, 1)}
        assert grid.measure(Aim.CHEAPEST, found) == -1


def test_a_point_that_only_the_solver_lets_pass_is_thrown_out() -> None:
    """At most 5 − 1e-9 is 5 to a float solver and 4 in truth."""
    grid = Grid(
        target=(Fraction(5), Fraction(5)),
        low=(0, 0),
        high=(9, 9),
        weight=(Fraction(1), Fraction(1)),
        price=(Fraction(1), Fraction(1)),
        lines=(
            Line("sum", (Fraction(1), Fraction(1)), Fraction(10), Fraction(10)),
            Line("hair", (Fraction(1), Fraction(0)), None, 5 - Fraction(1, 10**9)),
        ),
    )
    assert best(grid, (Aim.NEAREST,)) == (4, 6)


def test_an_empty_grid_is_found_empty() -> None:
    one = (Fraction(1),)
    line_ = Line("half", (Fraction(2),), Fraction(1), Fraction(1))
    grid = Grid(one, (0,), (9,), one, one, (line_,))
    assert best(grid, (Aim.NEAREST,)) == Infeasible()
    assert grid_module.best(grid.without(frozenset({"half"})), (Aim.NEAREST,)) == (1,)


@settings(max_examples=25, deadline=None)
@given(small_problems())
def test_a_clash_is_a_smallest_set_by_brute_force(
    problem: tuple[Rows, dict[str, float], dict[str, float], int],
) -> None:
    """With the rules of the clash alone there are no weights; without any one of them there are."""
    rows, ideal, prices, grams = problem
    found = weigh(rows, ideal, prices, (GRAM,), grams / 1000, bigger=())
    if not isinstance(found, Unweighable) or found.too_little:
        return

    def weighable(rules: set[str]) -> bool:
        kept = tuple(row for row in rows.rows if row.rule == WHOLE or row.rule in rules)
        return bool(brute_force(Rows(rows.materials, (), kept), ideal, prices, grams))

    clash = set(found.clash)
    assert clash
    assert not weighable(clash)
    assert all(weighable(clash - {rule}) for rule in clash)
