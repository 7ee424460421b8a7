"""Minimal clashes of rules: against published cases, and against trying every subset."""

import json
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from math import inf
from pathlib import Path
from typing import Any

import pytest
from barwright.constraints.model.row import WHOLE, Row
from barwright.solver.infeasible.conflict import clashes, cures
from barwright.solver.program.outcome import Infeasible, Optimal, Program
from barwright.solver.program.relaxed import TOLERANCE, Elastic
from barwright.solver.program.session import solve
from hypothesis import given, settings
from hypothesis import strategies as st

PUBLISHED = Path(__file__).parent / "data" / "published"


def published(name: str) -> dict[str, Any]:
    return json.loads((PUBLISHED / f"infeasible_{name}.json").read_text(encoding="utf-8"))


def side(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else float(value)


def with_bounds_as_rules(case: dict[str, Any]) -> Program:
    """Every row and every finite bound is a rule; a free column is a difference of two."""
    names = list(case["columns"])
    rows = [split_row(name, row, names) for name, row in case["rows"].items()]
    for name, bounds in case["columns"].items():
        for sign, limit in ((">=", bounds["lower"]), ("<=", bounds["upper"])):
            if limit is not None:
                bound = {"low" if sign == ">=" else "high": limit, "coefficients": {name: 1}}
                rows.append(split_row(f"{name}{sign}{limit}", bound, names))
    width = 2 * len(names)
    return Program((0.0,) * width, (0.0,) * width, (inf,) * width, (False,) * width, tuple(rows))


def split_row(rule: str, row: dict[str, Any], names: list[str]) -> Row:
    terms = sorted((names.index(name), float(v)) for name, v in row["coefficients"].items())
    both = [(2 * j + k, v * sign) for j, v in terms for k, sign in ((0, 1.0), (1, -1.0))]
    low, high = side(row.get("low"), -inf), side(row.get("high"), inf)
    return Row(rule, "", tuple(j for j, _ in both), tuple(v for _, v in both), low, high)


def with_bounds_kept(case: dict[str, Any]) -> Program:
    names = list(case["columns"])
    rows = [
        Row(
            name,
            "",
            tuple(sorted(names.index(column) for column in row["coefficients"])),
            tuple(float(row["coefficients"][c]) for c in names if c in row["coefficients"]),
            side(row["low"], -inf),
            side(row["high"], inf),
        )
        for name, row in case["rows"].items()
    ]
    return Program(
        costs=tuple(float(case.get("costs", {}).get(name, 0.0)) for name in names),
        lower=tuple(float(bounds["lower"]) for bounds in case["columns"].values()),
        upper=tuple(side(bounds["upper"], inf) for bounds in case["columns"].values()),
        whole=(False,) * len(names),
        rows=tuple(rows),
    )


def sizes(program: Program) -> list[int]:
    found = clashes(program, frozenset(), most=99)
    assert found.complete
    assert all(clash.proof is not None for clash in found.found)
    return [len(clash.rules) for clash in found.found]


@pytest.mark.reference
def test_three_constraints_and_a_bound_are_the_only_clash_of_the_published_example() -> None:
    # SAS/OR User's Guide: Mathematical Programming, LP solver, Example 7.4.
    case = published("three_and_a_bound")
    found = clashes(with_bounds_as_rules(case), frozenset())
    assert [set(clash.rules) for clash in found.found] == [set(case["expected"]["only"])]
    assert found.complete


@pytest.mark.reference
@pytest.mark.parametrize("name", ["galenet", "itest2"])
def test_netlib_clashes_are_as_many_and_as_large_as_known(name: str) -> None:
    # NETLIB lp/infeas, collected by J. W. Chinneck; rows and finite bounds are elements.
    case = published(name)
    assert sizes(with_bounds_as_rules(case)) == case["expected"]["sizes"]
    assert sizes(with_bounds_kept(case)) == case["expected"]["rows_only_sizes"]


@pytest.mark.reference
def test_the_smallest_clash_of_galenet_is_the_known_one() -> None:
    # NETLIB lp/infeas galenet.
    case = published("galenet")
    found = clashes(with_bounds_as_rules(case), frozenset())
    assert set(found.found[0].rules) == set(case["expected"]["smallest"])


@pytest.mark.reference
def test_the_fewest_rows_to_drop_from_itest2_are_two_and_from_galenet_one() -> None:
    # The minimum covers follow from the enumerations behind the sizes in the data files.
    assert len(cures(with_bounds_kept(published("itest2")), frozenset()).found[0]) == 2
    assert len(cures(with_bounds_kept(published("galenet")), frozenset()).found[0]) == 1


LIMITS = st.integers(-8, 20).map(lambda tenths: tenths / 10)


@st.composite
def programs(draw: st.DrawFn, most_choices: int = 3) -> Program:
    """Shares that add to 1, some choices, and small rules of one or more rows."""
    shares, choices = draw(st.integers(1, 4)), draw(st.integers(0, most_choices))
    width = shares + choices
    rows = [Row(WHOLE, "", tuple(range(shares)), (1.0,) * shares, 1.0, 1.0)]
    for name in draw(st.lists(st.sampled_from("abcdef"), min_size=2, max_size=7)):
        columns = tuple(sorted(draw(st.sets(st.integers(0, width - 1), min_size=1, max_size=4))))
        values = tuple(float(draw(st.sampled_from([-2, -1, 1, 2, 3]))) for _ in columns)
        limit = draw(LIMITS)
        low, high = draw(st.sampled_from([(limit, inf), (-inf, limit), (limit, limit + 0.1)]))
        rows.append(Row(name, "", columns, values, low, high))
    return Program(
        costs=(0.0,) * width,
        lower=(0.0,) * width,
        upper=(inf,) * shares + (1.0,) * choices,
        whole=(False,) * shares + (True,) * choices,
        rows=tuple(rows),
    )


def subsets(rules: tuple[str, ...]) -> Iterator[frozenset[str]]:
    for size in range(len(rules) + 1):
        yield from map(frozenset, combinations(rules, size))


def only(program: Program, rules: frozenset[str]) -> Program:
    return replace(program, rows=tuple(row for row in program.rows if row.rule in rules))


@given(programs())
@settings(max_examples=60, deadline=None)
def test_clashes_and_cures_are_those_that_trying_every_subset_finds(program: Program) -> None:
    rules = tuple(dict.fromkeys(row.rule for row in program.rows if row.rule != WHOLE))
    holds = {
        some: isinstance(solve(only(program, some | {WHOLE})), Optimal) for some in subsets(rules)
    }
    minimal = {s for s, ok in holds.items() if not ok and all(holds[s - {r}] for r in s)}
    everything = frozenset(rules)
    largest = {
        s for s, ok in holds.items() if ok and not any(holds[s | {r}] for r in rules if r not in s)
    }
    found = clashes(program, most=1000)
    assert found.complete
    assert {frozenset(clash.rules) for clash in found.found} == minimal
    outside = {everything - some for some in largest} if minimal else set()
    cured = cures(program, most=1000, most_rules=99)
    assert cured.complete
    assert {frozenset(cure) for cure in cured.found} == outside


@given(programs(), st.integers(1, 4))
@settings(max_examples=30, deadline=None)
def test_a_search_stopped_early_has_overlooked_nothing_smaller(program: Program, most: int) -> None:
    every = clashes(program, most=1000, prove=False).found
    first = clashes(program, most=most, prove=False).found
    assert [len(c.rules) for c in first] == [len(c.rules) for c in every[:most]]
    all_cures = cures(program, most=1000, most_rules=99).found
    few_cures = cures(program, most=most, most_rules=2).found
    small = [cure for cure in all_cures if len(cure) <= 2]
    assert [len(cure) for cure in few_cures] == [len(cure) for cure in small[:most]]


@given(programs())
@settings(max_examples=40, deadline=None)
def test_every_clash_carries_an_exact_certificate_over_its_own_rules(program: Program) -> None:
    for clash in clashes(program).found:
        assert clash.proof is not None
        assert clash.violation > TOLERANCE


@given(programs())
@settings(max_examples=40, deadline=None)
def test_clashes_come_smallest_first_and_cures_too(program: Program) -> None:
    found = clashes(program, most=99, prove=False)
    for sets in ([clash.rules for clash in found.found], cures(program, most_rules=99).found):
        assert [len(some) for some in sets] == sorted(len(some) for some in sets)


@given(programs(), st.randoms(use_true_random=False))
@settings(max_examples=30, deadline=None)
def test_the_order_of_the_rows_changes_no_clash(program: Program, random: Any) -> None:
    rows = list(program.rows)
    random.shuffle(rows)
    shuffled = clashes(replace(program, rows=tuple(rows)), most=999, prove=False)
    straight = clashes(program, most=999, prove=False)
    assert {frozenset(clash.rules) for clash in shuffled.found} == {
        frozenset(clash.rules) for clash in straight.found
    }


def shares(*rules: tuple[str, tuple[int, ...], float, float], width: int = 3) -> Program:
    rows = [Row(WHOLE, "", tuple(range(width)), (1.0,) * width, 1.0, 1.0)]
    rows += [Row(rule, "", cols, (1.0,) * len(cols), low, high) for rule, cols, low, high in rules]
    return Program((0.0,) * width, (0.0,) * width, (inf,) * width, (False,) * width, tuple(rows))


def test_a_program_with_an_answer_has_no_clash_and_needs_no_cure() -> None:
    program = shares(("a", (0,), 0.2, inf))
    assert (clashes(program).found, clashes(program).complete) == ((), True)
    assert (cures(program).found, cures(program).complete) == ((), True)


def test_a_rule_that_is_impossible_alone_clashes_alone() -> None:
    found = clashes(shares(("too much", (0,), 1.5, inf), ("fine", (1,), 0.1, inf)))
    assert [clash.rules for clash in found.found] == [("too much",)]
    assert found.found[0].violation == pytest.approx(0.5)


def test_a_rule_that_counts_nothing_on_the_shelf_clashes_alone() -> None:
    found = clashes(shares(("oil", (), 0.1, inf)))
    assert [clash.rules for clash in found.found] == [("oil",)]


def test_what_is_always_kept_is_named_only_when_it_clashes_with_itself() -> None:
    program = shares(("a", (0,), 0.7, inf), ("b", (1,), 0.7, inf), ("c", (2,), 0.7, inf))
    assert len(clashes(program).found) == 3
    impossible = replace(program, upper=(0.1, 0.1, 0.1))
    found = clashes(impossible)
    assert [clash.rules for clash in found.found] == [(WHOLE,)]
    assert found.found[0].proof is not None


def test_a_rule_of_several_rows_is_dropped_whole() -> None:
    program = shares(("band", (0,), 0.6, inf), ("band", (1,), 0.6, inf), ("other", (2,), 0.5, inf))
    assert [clash.rules for clash in clashes(program).found] == [("band",)]


def test_rules_that_just_touch_do_not_clash() -> None:
    program = shares(("a", (0,), 0.7, inf), ("b", (1,), 0.1, inf), ("c", (2,), 0.2, inf))
    assert not clashes(program).found
    assert clashes(shares(("a", (0,), 0.7, inf), ("b", (1,), 0.3001, inf))).found


def test_a_search_that_is_cut_short_says_so() -> None:
    program = shares(("a", (0,), 0.7, inf), ("b", (1,), 0.7, inf), ("c", (2,), 0.7, inf))
    for cut in (clashes(program, most=1), clashes(program, most_asked=4)):
        assert not cut.complete
        assert len(cut.found) < 3
    assert all(len(clash.rules) == 2 for clash in clashes(program, most=1).found)


def crowded(choices: int) -> Program:
    """Half of the choices and one half more, which no yes and no can make."""
    width = 1 + choices
    doubled = Row(
        "half", "", tuple(range(1, width)), (2.0,) * choices, choices + 1.0, choices + 1.0
    )
    return Program(
        costs=(0.0,) * width,
        lower=(0.0,) * width,
        upper=(1.0,) * width,
        whole=(False, *(True,) * choices),
        rows=(
            Row(WHOLE, "", (0,), (1.0,), 1.0, 1.0),
            doubled,
            Row("other", "", (1,), (1.0,), 0.0, 1.0),
        ),
    )


def test_a_tree_of_choices_too_wide_for_branching_is_settled_by_the_solver() -> None:
    program = crowded(12)
    assert isinstance(solve(program), Infeasible)
    found = clashes(program, prove=False)
    assert [clash.rules for clash in found.found] == [("half",)]


def test_asking_reports_the_least_total_by_which_rules_are_missed() -> None:
    program = shares(("a", (0,), 0.7, inf), ("b", (1,), 0.5, inf), ("c", (2,), 0.1, inf))
    elastic = Elastic(program, frozenset({WHOLE}))
    reply = elastic.ask(elastic.everything)
    assert reply is not None
    assert reply.violation == pytest.approx(0.3)
    assert not reply.holds
