"""Ways out of a clash: each works, none touches a law, and none gives more than it must."""

import json
from collections.abc import Callable, Sequence
from dataclasses import replace
from math import inf
from pathlib import Path

import pytest
from barwright.constraints.model.row import WHOLE, Row
from barwright.solver.infeasible.remedy import give_way
from barwright.solver.infeasible.steps import Relaxable, RowsWith, WayOut
from barwright.solver.program.outcome import Infeasible, Optimal, Program
from barwright.solver.program.relaxed import keeps
from barwright.solver.program.session import solve
from hypothesis import assume, given, settings
from hypothesis import strategies as st

PUBLISHED = Path(__file__).parent / "data" / "published"
DIET = json.loads((PUBLISHED / "infeasible_diet.json").read_text(encoding="utf-8"))


def diet(**limits: float) -> Program:
    names = list(DIET["columns"])
    rows = []
    for name, row in DIET["rows"].items():
        columns = tuple(j for j, food in enumerate(names) if food in row["coefficients"])
        values = tuple(float(row["coefficients"][names[j]]) for j in columns)
        low = -inf if row["low"] is None else float(row["low"])
        high = inf if row["high"] is None else limits.get(name, float(row["high"]))
        rows.append(Row(name, "", columns, values, low, high))
    return Program(
        costs=tuple(DIET["costs"].values()),
        lower=tuple(float(bounds["lower"]) for bounds in DIET["columns"].values()),
        upper=tuple(float(bounds["upper"]) for bounds in DIET["columns"].values()),
        whole=(False,) * len(names),
        rows=tuple(rows),
    )


def by_sides(program: Program) -> RowsWith:
    """Rows of a rule whose limits are the sides of its one row."""

    def rows_with(rule: str, low: float | None, high: float | None) -> Sequence[tuple[int, Row]]:
        sides = (-inf if low is None else low, inf if high is None else high)
        return [
            (index, replace(row, low=sides[0], high=sides[1]))
            for index, row in enumerate(program.rows)
            if row.rule == rule
        ]

    return rows_with


@pytest.mark.reference
def test_the_diet_needs_the_sodium_limit_that_is_known_to_be_the_least() -> None:
    # AMPL, 2nd ed. 2003, section 2.3: no diet under 40000 of sodium; feasible from 48186.
    program = diet()
    sodium = Relaxable("NA_max", None, 40000.0, step=1.0)
    (way,) = give_way(program, [sodium], by_sides(program), keep=frozenset())
    assert way.moved[0].needed == pytest.approx(DIET["expected"]["feasible_from"], abs=1e-3)
    assert way.moved[0].new == DIET["expected"]["feasible_from"]
    assert way.give == pytest.approx(8186 / 40000)


@pytest.mark.reference
def test_in_steps_of_ten_thousand_the_diet_is_repaired_as_the_book_does() -> None:
    # The same, where the authors raise the limit to 50000 (diet2a.dat).
    program = diet()
    sodium = Relaxable("NA_max", None, 40000.0, step=10000.0)
    (way,) = give_way(program, [sodium], by_sides(program), keep=frozenset())
    assert way.moved[0].new == DIET["expected"]["repaired_to"]
    repaired = solve(diet(NA_max=50000.0))
    assert isinstance(repaired, Optimal)
    assert way.cost == pytest.approx(repaired.cost)


def test_every_single_limit_of_the_diet_is_a_way_out_only_if_moving_it_far_is() -> None:
    program = diet()
    relaxable = [
        Relaxable(
            name,
            None if row["low"] is None else float(row["low"]),
            None if row["high"] is None else float(row["high"]),
            step=1.0,
        )
        for name, row in DIET["rows"].items()
    ]
    ways = give_way(program, relaxable, by_sides(program), keep=frozenset(), most=99, most_rules=1)
    alone = {name for name in DIET["rows"] if isinstance(solve(without(program, name)), Optimal)}
    assert {way.moved[0].rule for way in ways} == alone
    assert [way.give for way in ways] == sorted(way.give for way in ways)


def without(program: Program, *rules: str) -> Program:
    return replace(program, rows=tuple(row for row in program.rows if row.rule not in rules))


# A bar in small: surfactant, wax, oil, water; columns in this order.
COSTS = (8.0, 3.0, 5.0, 0.1)


def bar(*rows: Row, choices: int = 0) -> Program:
    width = 4 + choices
    whole = Row(WHOLE, "", (0, 1, 2, 3), (1.0,) * 4, 1.0, 1.0)
    return Program(
        costs=COSTS + (0.0,) * choices,
        lower=(0.0,) * width,
        upper=(inf,) * 4 + (1.0,) * choices,
        whole=(False,) * 4 + (True,) * choices,
        rows=(whole, *rows),
    )


def share(rule: str, column: int, low: float, high: float) -> Row:
    return Row(rule, "share", (column,), (1.0,), low, high)


def wax_to_oil(low: float, high: float) -> list[Row]:
    return [
        Row("wax to oil", "at least", (1, 2), (1.0, -low), 0.0, inf),
        Row("wax to oil", "at most", (1, 2), (1.0, -high), -inf, 0.0),
    ]


def with_ratio(program: Program) -> RowsWith:
    plain = by_sides(program)

    def rows_with(rule: str, low: float | None, high: float | None) -> Sequence[tuple[int, Row]]:
        if rule != "wax to oil":
            return plain(rule, low, high)
        assert low is not None
        assert high is not None
        places = [i for i, row in enumerate(program.rows) if row.rule == rule]
        return list(zip(places, wax_to_oil(low, high), strict=True))

    return rows_with


def test_a_ratio_gives_way_by_its_coefficients() -> None:
    program = bar(share("wax", 1, -inf, 0.2), share("oil", 2, 0.2, inf), *wax_to_oil(1.25, 3.0))
    ratio = Relaxable("wax to oil", 1.25, 3.0, step=0.1)
    (way,) = give_way(program, [ratio], with_ratio(program))
    (moved,) = way.moved
    assert (moved.rule, moved.side, moved.old) == ("wax to oil", "low", 1.25)
    assert moved.needed == pytest.approx(1.0, abs=1e-6)
    assert moved.new == pytest.approx(1.0)


def test_limits_found_are_whole_steps_outward_even_from_a_limit_between_steps() -> None:
    program = bar(share("surfactant", 0, 0.555, inf), share("water", 3, 0.4737, inf))
    surfactant = Relaxable("surfactant", 0.555, None, step=0.01)
    (way,) = give_way(program, [surfactant], by_sides(program))
    assert way.moved[0].needed == pytest.approx(0.5263, abs=1e-6)
    assert way.moved[0].new == pytest.approx(0.52)


def test_a_law_never_gives_way() -> None:
    program = bar(share("law", 0, -inf, 0.3), share("house", 0, 0.4, inf))
    rows_with = by_sides(program)
    (way,) = give_way(program, [Relaxable("house", 0.4, None, step=0.01)], rows_with)
    assert [moved.rule for moved in way.moved] == ["house"]
    assert way.x[0] <= 0.3 + 1e-6
    assert give_way(program, [], rows_with) == ()


def test_laws_that_clash_among_themselves_leave_no_concession() -> None:
    program = bar(
        share("law", 0, -inf, 0.3), share("other law", 0, 0.4, inf), share("house", 1, 0.9, inf)
    )
    assert give_way(program, [Relaxable("house", 0.9, None, step=0.01)], by_sides(program)) == ()


def test_two_clashes_that_share_no_rule_need_two_limits_to_move() -> None:
    program = bar(
        share("law", 0, -inf, 0.3),
        share("lather", 0, 0.4, inf),
        share("other law", 2, -inf, 0.05),
        share("care", 2, 0.08, inf),
    )
    relaxable = [Relaxable("lather", 0.4, None, 0.01), Relaxable("care", 0.08, None, 0.01)]
    (way,) = give_way(program, relaxable, by_sides(program))
    assert {moved.rule: moved.new for moved in way.moved} == pytest.approx(
        {"lather": 0.3, "care": 0.05}
    )


def test_limits_that_share_a_clash_are_offered_one_by_one_least_first() -> None:
    program = bar(
        share("lather", 0, 0.6, inf), share("hard", 1, 0.2, inf), share("law", 3, 0.25, inf)
    )
    relaxable = [Relaxable("lather", 0.6, None, 0.01), Relaxable("hard", 0.2, None, 0.01)]
    ways = give_way(program, relaxable, by_sides(program))
    assert [(way.moved[0].rule, round(way.moved[0].new, 9)) for way in ways] == [
        ("lather", 0.55),
        ("hard", 0.15),
    ]


def test_a_limit_that_would_have_to_pass_its_end_is_no_way_out() -> None:
    program = bar(share("law", 0, -inf, 0.3), share("house", 0, 0.4, inf))
    fixed = Relaxable("house", 0.4, None, step=0.01, floor=0.35)
    assert give_way(program, [fixed], by_sides(program)) == ()


def test_a_yes_no_rule_can_be_given_up_whole_and_comes_after_limits() -> None:
    one = Row("one preservative", "count", (4, 5), (1.0, 1.0), 2.0, 2.0)
    never = Row("never together", "never", (4, 5), (1.0, 1.0), -inf, 1.0)
    dose = Row("dose", "at least", (3, 4), (1.0, -0.3), 0.0, inf)
    dry = share("dry", 3, -inf, 0.1)
    program = bar(one, never, dose, dry, choices=2)
    droppable = frozenset({"one preservative", "never together"})
    relaxable = [Relaxable("dry", None, 0.1, 0.05)]
    ways = give_way(program, relaxable, by_sides(program), droppable=droppable)
    assert {way.dropped for way in ways} == {("one preservative",), ("never together",)}
    by_dropped = {way.dropped: way for way in ways}
    assert by_dropped["one preservative",].moved == ()
    assert [m.rule for m in by_dropped["never together",].moved] == ["dry"]
    assert by_dropped["never together",].moved[0].new == pytest.approx(0.3)
    assert ways[0].dropped == ("one preservative",)


def test_a_possible_program_has_nothing_to_give() -> None:
    program = bar(share("house", 0, 0.4, inf))
    assert give_way(program, [Relaxable("house", 0.4, None, 0.01)], by_sides(program)) == ()


@st.composite
def clashing(draw: st.DrawFn) -> tuple[Program, list[Relaxable]]:
    """Bars whose share rules are drawn so tight that they mostly clash; half of them are laws."""
    rows, relaxable = [], []
    percent = st.integers(1, 90).map(lambda whole: whole / 100)
    for k in range(draw(st.integers(2, 6))):
        columns = tuple(sorted(draw(st.sets(st.integers(0, 3), min_size=1, max_size=3))))
        values = tuple(draw(st.sampled_from([0.25, 0.5, 1.0])) for _ in columns)
        limit = draw(percent)
        low, high = draw(st.sampled_from([(limit, None), (None, limit), (limit, limit + 0.02)]))
        sides = (-inf if low is None else low, inf if high is None else high)
        rows.append(Row(f"rule {k}", "share", columns, values, *sides))
        if draw(st.booleans()):
            relaxable.append(Relaxable(f"rule {k}", low, high, step=0.01))
    return bar(*rows), relaxable


def changed(program: Program, way: WayOut, steps_less: Callable[[int], float]) -> Program:
    """The program with a way out done, but for so many steps of each limit."""
    rows = list(program.rows)
    for k, moved in enumerate(way.moved):
        inward = 1.0 if moved.side == "low" else -1.0
        limit = moved.new + inward * steps_less(k) * 0.01
        for index, row in enumerate(rows):
            if row.rule == moved.rule:
                rows[index] = replace(row, **{moved.side: limit})
    return replace(program, rows=tuple(rows))


@given(clashing())
@settings(max_examples=60, deadline=None)
def test_each_way_out_works_and_a_step_less_of_any_limit_does_not(
    case: tuple[Program, list[Relaxable]],
) -> None:
    program, relaxable = case
    assume(isinstance(solve(program), Infeasible))
    for way in give_way(program, relaxable, by_sides(program), most=99):
        done = changed(program, way, lambda k: 0.0)
        outcome = solve(done)
        assert isinstance(outcome, Optimal)
        assert way.cost == pytest.approx(outcome.cost, abs=1e-6)
        assert keeps(done, way.x)
        for one in range(len(way.moved)):
            less = changed(program, way, lambda k, one=one: float(k == one))
            assert isinstance(solve(less), Infeasible)


@given(clashing())
@settings(max_examples=60, deadline=None)
def test_there_is_a_way_out_just_when_dropping_the_rules_that_may_move_is_one(
    case: tuple[Program, list[Relaxable]],
) -> None:
    program, relaxable = case
    assume(isinstance(solve(program), Infeasible))
    free = [rule.rule for rule in relaxable]
    ways = give_way(program, relaxable, by_sides(program), most=99, most_rules=99)
    assert all(moved.rule in free for way in ways for moved in way.moved)
    assert bool(ways) == isinstance(solve(without(program, *free)), Optimal)


CLAY = {0: 1.0, 1: 1.0}  # counts in the whole and in the row of "absorbent"


def test_a_point_off_a_row_a_bound_or_a_whole_number_is_not_kept() -> None:
    program = bar(share("house", 0, 0.4, inf), choices=1)
    assert keeps(program, (0.4, 0.6, 0.0, 0.0, 1.0))
    assert not keeps(program, (0.39, 0.61, 0.0, 0.0, 1.0))
    assert not keeps(program, (0.4, 0.7, -0.1, 0.0, 1.0))
    assert not keeps(program, (0.4, 0.6, 0.0, 0.0, 0.5))
