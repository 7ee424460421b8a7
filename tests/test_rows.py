"""Rules become the rows that say the same, and the judge agrees without seeing them."""

from fractions import Fraction
from math import inf

import pytest
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.row import WHOLE
from barwright.constraints.model.rule import Counted, Kind, Pick, Selector
from barwright.constraints.rules.choose import Choose
from barwright.constraints.rules.companion import Companion
from barwright.constraints.rules.cost import Cost
from barwright.constraints.rules.counting import Counting
from barwright.constraints.rules.density import Density
from barwright.constraints.rules.dose import Dose
from barwright.constraints.rules.judging import judge
from barwright.constraints.rules.mean import Mean
from barwright.constraints.rules.ratio import Ratio
from barwright.constraints.rules.rows import rows_of
from barwright.constraints.rules.share import Share, none_of
from barwright.solver.cheapest.cheapest import Finding, Refusal, cheapest, program_of
from barwright.solver.program.opinion import second_opinion
from barwright.solver.program.outcome import Infeasible, Optimal
from barwright.solver.program.session import solve
from blends import bench, common, least_cost, material, said, share_of
from hypothesis import given, settings
from hypothesis import strategies as st

POWDER = material("powder", {"Detergent": 0.8, "Salt": 0.2}, classes=("surfactant",))
FLAKES = material("flakes", {"Wax": 1.0}, classes=("wax",))
BLEND = material("blend", {"Quat": (0.24, 0.25, 0.27), "Wax": 0.75}, tags=("quat",))
OIL = material("oil", {"Oil": 1.0}, classes=("oil",))
CLASSES = {"Detergent": ("surfactant",), "Wax": ("wax",), "Oil": ("oil",), "Quat": ("cationic",)}


def rows_for(*rules):
    return rows_of(bench([POWDER, FLAKES, BLEND, OIL], [1, 2, 3, 4], rules, CLASSES))


def row_for(rule):
    return [(row.columns, row.values, row.low, row.high) for row in rows_for(rule).rows[1:]]


def a_class(name, counted):
    return Selector(Pick.CLASS, name, counted)


def test_the_first_row_adds_the_shares_to_one():
    first = rows_for().rows[0]
    assert (first.rule, first.columns, first.values) == (WHOLE, (0, 1, 2, 3), (1, 1, 1, 1))
    assert first.low == first.high == 1


def test_an_active_share_counts_what_is_inside_every_material():
    rule = Share(**said("wax"), low=0.1, high=0.2, of=a_class("wax", Counted.ACTIVE))
    assert row_for(rule) == [((1, 2), (1.0, 0.75), 0.1, 0.2)]


def test_a_share_as_supplied_counts_whole_materials_of_the_class():
    rule = Share(**said("wax"), low=None, high=0.2, of=a_class("wax", Counted.SUPPLIED))
    assert row_for(rule) == [((1,), (1.0,), -inf, 0.2)]


def test_a_ratio_is_two_rows_that_never_divide():
    rule = Ratio(
        **said("wax to oil", unit=""),
        low=1.5,
        high=4.0,
        of=a_class("wax", Counted.ACTIVE),
        to=a_class("oil", Counted.ACTIVE),
    )
    assert row_for(rule) == [
        ((1, 2, 3), (1.0, 0.75, -1.5), 0.0, inf),
        ((1, 2, 3), (1.0, 0.75, -4.0), -inf, 0.0),
    ]


def test_a_dose_leaves_out_or_lies_between():
    rule = Dose(**said("dose"), low=0.01, high=0.05, material="oil")
    assert row_for(rule) == [
        ((3, 4), (1.0, -0.01), 0.0, inf),
        ((3, 4), (1.0, -0.05), -inf, 0.0),
    ]


def test_a_law_counts_at_the_upper_end_of_a_certificate():
    law = Counting(**said("quats", Kind.LAW), low=None, high=0.05, factors={"Quat": 0.5})
    house = Counting(**said("quats"), low=None, high=0.05, factors={"Quat": 0.5})
    assert row_for(law) == [((2,), (0.135,), -inf, 0.05)]
    assert row_for(house) == [((2,), (0.125,), -inf, 0.05)]


def test_a_mean_weighs_the_property_of_every_material():
    values = {"powder": 1.0, "flakes": 1.0, "blend": 1.0, "oil": 0.0}
    rule = Mean(**said("solids"), low=0.8, high=None, of="solid share", values=values)
    assert row_for(rule) == [((0, 1, 2), (1.0, 1.0, 1.0), 0.8, inf)]


def test_a_density_lies_between_by_volumes_that_add_up():
    """Half a kilogram at 1 kg/L and half at 2 kg/L fill 0.75 L: 1.333 kg/L, by hand."""
    values = {"powder": 2.0, "flakes": 1.0, "blend": 1.0, "oil": 0.5}
    rule = Density(**said("density", unit="kg/L"), low=1.0, high=4 / 3, values=values)
    assert row_for(rule) == [
        ((0, 3), (0.5, -1.0), 0.0, inf),
        ((0, 1, 2, 3), (1 - 4 / 6, 1 - 4 / 3, 1 - 4 / 3, 1 - 8 / 3), -inf, 0.0),
    ]
    made = bench([POWDER, FLAKES, BLEND, OIL], [1, 2, 3, 4], [rule], CLASSES)
    (verdict,) = judge(made, Composition("", {"powder": 0.5, "flakes": 0.5}))
    assert verdict.value == pytest.approx(4 / 3)
    assert verdict.kept
    found = cheapest(made)
    assert found.cost == pytest.approx(1.5)  # powder as far as it goes, flakes for the rest


def test_a_cost_cap_is_a_row_of_prices():
    rule = Cost(**said("cost", unit="EUR/kg"), low=None, high=2.5)
    assert row_for(rule) == [((0, 1, 2, 3), (1.0, 2.0, 3.0, 4.0), -inf, 2.5)]


def test_what_is_left_out_is_a_row_and_no_hidden_bound():
    tag = none_of(common("no quats"), Selector(Pick.TAG, "quat", Counted.SUPPLIED))
    substance = none_of(common("no wax"), Selector(Pick.SUBSTANCE, "Wax", Counted.ACTIVE))
    assert row_for(tag) == [((2,), (1.0,), -inf, 0.0)]
    assert row_for(substance) == [((1, 2), (1.0, 1.0), -inf, 0.0)]


def test_a_choice_without_a_dose_is_refused():
    rule = Choose(**said("one", unit=""), low=1, high=1, among=("oil", "flakes"))
    with pytest.raises(ValueError, match="no rule doses: flakes, oil"):
        rows_for(rule)


def dosed(name, low=0.01, high=0.5):
    return Dose(**said(f"dose of {name}"), low=low, high=high, material=name)


def test_needs_and_never_tie_the_choices():
    rule = Companion(**said("pair", unit=""), material="blend", needs=("oil",), never=("flakes",))
    rows = rows_for(dosed("blend"), dosed("oil"), dosed("flakes"), rule)
    assert rows.choices == ("blend", "flakes", "oil")
    assert [(row.columns, row.values, row.high) for _, row in rows.of("pair")] == [
        ((4, 6), (1.0, -1.0), 0.0),
        ((4, 5), (1.0, 1.0), 1.0),
    ]


def test_the_judge_says_so_instead_of_dividing_by_nothing():
    rule = Ratio(
        **said("wax to oil", unit=""),
        low=1.5,
        high=4.0,
        of=a_class("wax", Counted.ACTIVE),
        to=a_class("oil", Counted.ACTIVE),
    )
    made = bench([POWDER, FLAKES, BLEND, OIL], [1, 2, 3, 4], [rule], CLASSES)
    (neither,) = judge(made, Composition("", {"powder": 1.0}))
    (wax_only,) = judge(made, Composition("", {"powder": 0.9, "flakes": 0.1}))
    assert (neither.value, neither.kept) == (None, True)
    assert (wax_only.value, wax_only.kept) == (None, False)


def small_benches():
    # Eighths: every sum of products is then the same in doubles as in exact arithmetic.
    shares = st.integers(0, 8).map(lambda eighths: eighths / 8)
    pairs = st.tuples(shares, shares).map(sorted)
    contents = st.lists(shares, min_size=3, max_size=3)

    def built(drawn):
        kinds, prices, limits, choice = drawn
        materials = [
            material(f"m{i}", {"A": a / 2, "B": b / 2}) for i, (a, b, _) in enumerate(kinds)
        ]
        rules = [
            share_of("A", limits[0][0] / 2, limits[0][1] / 2),
            share_of("B", limits[1][0] / 2, limits[1][1] / 2),
        ]
        if choice:
            rules += [
                dosed("m0", 0.125, 0.625),
                dosed("m1", 0.25, 0.75),
                Choose(**said("one", unit=""), low=1, high=1, among=("m0", "m1")),
            ]
        return bench(materials, prices, rules)

    return st.tuples(
        st.lists(contents, min_size=3, max_size=3),
        st.lists(st.integers(1, 20), min_size=3, max_size=3),
        st.lists(pairs, min_size=2, max_size=2),
        st.booleans(),
    ).map(built)


@settings(max_examples=60, deadline=None)
@given(small_benches())
def test_the_cheapest_costs_what_the_best_of_all_vertices_costs(made):
    rows = rows_of(made)
    program = program_of(rows, [item.price for item in made.shelf])
    exact = least_cost(program)
    found = cheapest(made)
    if exact is None:
        assert isinstance(found, Refusal)
        assert isinstance(found.outcome, Infeasible)
    else:
        assert isinstance(found, Finding)
        assert found.cost == pytest.approx(float(exact), abs=1e-9)
        assert all(verdict.kept for verdict in found.verdicts)


@settings(max_examples=25, deadline=None)
@given(small_benches())
def test_two_solvers_find_the_same_cost(made):
    program = program_of(rows_of(made), [item.price for item in made.shelf])
    first, second = solve(program), second_opinion(program)
    assert type(first) is type(second)
    if isinstance(first, Optimal):
        assert second.cost == pytest.approx(first.cost, abs=1e-5)


@settings(max_examples=40, deadline=None)
@given(small_benches(), st.permutations([0, 1, 2]))
def test_the_order_of_the_shelf_never_changes_the_cost(made, order):
    from dataclasses import replace

    other = replace(made, shelf=tuple(made.shelf[i] for i in order))
    one, two = cheapest(made), cheapest(other)
    assert type(one) is type(two)
    if isinstance(one, Finding):
        assert two.cost == pytest.approx(one.cost, abs=1e-9)


@settings(max_examples=40, deadline=None)
@given(small_benches(), st.integers(2, 9))
def test_scaling_every_price_scales_every_price_of_a_rule(made, times):
    from dataclasses import replace

    other = replace(
        made, shelf=tuple(replace(item, price=item.price * times) for item in made.shelf)
    )
    one, two = cheapest(made), cheapest(other)
    assert type(one) is type(two)
    if isinstance(one, Finding):
        assert two.cost == pytest.approx(one.cost * times, rel=1e-9)
        looser = {(p.rule, p.side): p.looser for p in one.prices}
        for price in two.prices:
            if looser.get((price.rule, price.side)) is not None and price.looser is not None:
                assert price.looser == pytest.approx(
                    looser[price.rule, price.side] * times, abs=1e-6 * times
                )


@settings(max_examples=40, deadline=None)
@given(small_benches())
def test_a_step_looser_never_costs_more_and_a_step_tighter_never_less(made):
    found = cheapest(made)
    if isinstance(found, Finding):
        for price in found.prices:
            assert price.tighter is None or price.tighter >= -1e-9
            assert price.looser is None or price.looser >= -1e-9


@settings(max_examples=40, deadline=None)
@given(small_benches())
def test_the_judge_and_the_rows_agree_on_any_composition(made):
    """At a composition on a grid of tenths, a rule is kept exactly when its rows hold."""
    rows = rows_of(made)
    if rows.choices:
        return
    for a in range(11):
        for b in range(11 - a):
            shares = [Fraction(a, 10), Fraction(b, 10), Fraction(10 - a - b, 10)]
            parts = {f"m{i}": float(share) for i, share in enumerate(shares)}
            for verdict in judge(made, Composition("", parts)):
                held = all(
                    Fraction(row.low) - Fraction(1, 10**7)
                    <= sum(
                        Fraction(v) * shares[c]
                        for c, v in zip(row.columns, row.values, strict=True)
                    )
                    <= Fraction(row.high) + Fraction(1, 10**7)
                    for _, row in rows.of(verdict.rule.id)
                )
                assert verdict.kept is held
