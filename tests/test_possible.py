"""Whether a program has a point: short ways tell what a search over all choices would."""

import random
from dataclasses import replace
from itertools import product
from math import inf
from pathlib import Path

import pytest
from barwright.constraints.bench.changing import borne_by
from barwright.constraints.bench.reading import read_bench
from barwright.constraints.model.row import Row
from barwright.constraints.rules.rows import rows_of
from barwright.solver.cheapest.cheapest import program_of
from barwright.solver.program.opinion import second_opinion
from barwright.solver.program.outcome import Infeasible, Optimal, Program, Stopped
from barwright.solver.program.possible import Possible, not_ruled_out
from barwright.solver.program.session import Session, solve

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "oily-hair"
GONE = {"sodium coco-sulfate, needles", "sodium cocoyl isethionate, powder"}


def a_program(seed: int) -> tuple[Program, list[tuple[int, Row]]]:
    """A few shares and yes/no choices under rows, and changes to ask about, one after another."""
    dice = random.Random(seed)
    shares, choices = dice.randint(2, 5), dice.randint(0, 3)
    count = shares + choices
    columns = tuple(range(count))
    rows = tuple(
        Row(
            f"r{k}",
            "",
            columns,
            tuple(dice.choice((-1.0, 0.0, 0.5, 1.0)) for _ in columns),
            dice.choice((-inf, 0.25, 0.5)),
            dice.choice((0.75, 1.0, inf)),
        )
        for k in range(dice.randint(2, 5))
    )
    program = Program(
        costs=tuple(dice.random() for _ in columns),
        lower=(0.0,) * count,
        upper=(1.0,) * count,
        whole=(False,) * shares + (True,) * choices,
        rows=rows,
    )
    changed = [dice.randrange(len(rows)) for _ in range(12)]
    return program, [
        (k, replace(rows[k], low=dice.choice((-inf, 0.25, 0.5, 1.0, 1.75)), high=inf))
        for k in changed
    ]


def with_row(program: Program, change: tuple[int, Row]) -> Program:
    rows = list(program.rows)
    rows[change[0]] = change[1]
    return replace(program, rows=tuple(rows))


@pytest.mark.reference
@pytest.mark.parametrize("seed", range(3))
def test_a_program_is_possible_just_where_another_solver_finds_a_point(seed: int) -> None:
    """CBC through PuLP, which shares nothing with the solver that is asked here."""
    program, changes = a_program(seed)
    changes = changes[:5]
    possible = Possible(program)
    told = [possible.with_rows([one]) for one in changes]
    asked = [isinstance(second_opinion(with_row(program, one)), Optimal) for one in changes]
    assert told == asked


def test_a_program_is_possible_just_where_one_of_all_its_choices_is() -> None:
    both = set()
    for seed in range(16):
        program, changes = a_program(seed)
        possible = Possible(program)
        for one in changes:
            told = possible.with_rows([one])
            both.add(told)
            assert told == any_choice_does(with_row(program, one))
    assert both == {True, False}


def any_choice_does(program: Program) -> bool:
    chosen = [j for j, whole in enumerate(program.whole) if whole]
    for choices in product((0.0, 1.0), repeat=len(chosen)):
        lower, upper = list(program.lower), list(program.upper)
        for j, one in zip(chosen, choices, strict=True):
            lower[j] = upper[j] = one
        fixed = replace(program, lower=tuple(lower), upper=tuple(upper))
        if isinstance(solve(replace(fixed, whole=(False,) * len(lower))), Optimal):
            return True
    return False


@pytest.fixture(scope="module")
def gated() -> tuple[Program, dict[str, tuple[int, Row]]]:
    """An example that lost both its surfactants, every material of the catalogue shut out."""
    bench = read_bench(EXAMPLE)
    left = tuple(item for item in bench.shelf if item.material.name not in GONE)
    names, wide = borne_by(replace(bench, shelf=left), replace(bench, shelf=left).off_the_shelf)
    rows = rows_of(wide, 1.0)
    program = program_of(rows, wide.prices)
    shut = [Row("", "gate", (rows.materials.index(one),), (1.0,), -inf, 0.0) for one in names]
    gates = {
        name: (len(program.rows) + k, replace(gate, high=1.0))
        for k, (name, gate) in enumerate(zip(names, shut, strict=True))
    }
    half = replace(program, rows=(*program.rows, *shut), whole=(False,) * len(program.whole))
    return half, gates


def test_a_session_can_always_tell_whatever_it_was_asked_before(gated) -> None:
    program, gates = gated
    session = Session(program)
    for name, gate in list(gates.items())[90:110]:
        costs = tuple(float(gate[1].columns[0] == j) for j in range(len(program.costs)))
        assert not isinstance(session.solve_for(costs, [gate]), Stopped), name


def test_what_is_ruled_out_in_groups_is_impossible_alone(gated) -> None:
    program, gates = gated
    likely = not_ruled_out(program, gates)
    session = Session(program)
    alone = {name for name, one in gates.items() if not is_none(session.solve_with([one]))}
    assert alone
    assert alone <= likely
    assert len(likely) < len(gates) / 2


def test_nothing_is_ruled_out_where_nothing_needs_to_be_opened(gated) -> None:
    program, gates = gated
    eased = replace(program, rows=tuple(replace(row, low=-inf, high=inf) for row in program.rows))
    assert not_ruled_out(eased, gates) == gates.keys()


def is_none(outcome: object) -> bool:
    return isinstance(outcome, Infeasible)
