"""Very many scenarios: the same as one by one, whoever works them out, in whatever order."""

import csv
import json
from dataclasses import replace

import numpy as np
import pytest
from barwright import cheapest, read_bench
from barwright.constraints.model.brief import Composition
from barwright.constraints.rules.cost import Cost
from barwright.solver.cheapest.cheapest import program_of
from barwright.solver.program.outcome import Optimal
from barwright.solver.program.session import second_opinion
from barwright.solver.scenarios.formulas import held_formulas
from barwright.solver.scenarios.question import Question
from barwright.solver.scenarios.summary import summary_of
from barwright.solver.scenarios.sweep import BLOCK, block, sweep_of, worked_out
from blends import bench, material, said, share_of


@pytest.fixture(scope="module")
def oily(root):
    return read_bench(root / "examples/oily-hair")


def asked(of, count=40, apart=0.3, **more):
    ranges = {
        name: (price * (1 - apart), price * (1 + apart))
        for name, price in zip(of.material_names, of.prices, strict=True)
    }
    return Question(count, ranges, **more)


def at(of, scenario):
    """The bench as it is in a scenario, as one would read it."""
    shelf = tuple(
        replace(item, price=price)
        for item, price in zip(of.shelf, scenario.prices, strict=True)
        if item.material.name not in scenario.missing
    )
    return replace(of, shelf=shelf)


def test_each_scenario_costs_what_the_bench_costs_at_its_prices(oily):
    sweep = sweep_of(oily, asked(oily, 8))
    found = block(sweep, 0)
    for number in range(8):
        alone = cheapest(at(oily, sweep.question.scenario(oily, number)))
        assert found.costs[number] == pytest.approx(alone.cost, abs=2e-3)  # its ionic strength


@pytest.mark.reference
def test_each_scenario_costs_what_another_solver_says():
    """CBC, asked anew at the prices of each scenario, by hand-made rows without a pH."""
    shelf = [material(f"m{i}", {"A": 0.1 * i, "B": 0.5 - 0.05 * i}) for i in range(1, 6)]
    of = bench(shelf, [3.0, 4.0, 5.0, 6.0, 9.0], [share_of("A", 0.25), share_of("B", 0.3)])
    sweep = sweep_of(of, asked(of, 30, 0.5))
    found = block(sweep, 0)
    for number in range(30):
        scenario = sweep.question.scenario(of, number)
        from barwright.constraints.rules.rows import rows_of

        other = second_opinion(program_of(rows_of(of), scenario.prices))
        assert isinstance(other, Optimal)
        assert found.costs[number] == pytest.approx(other.cost, abs=1e-7)


def test_a_scenario_is_the_same_whichever_is_asked_for_first(oily):
    question = asked(oily, 300, missing={"kaolin, white": 0.5})
    assert question.scenario(oily, 7) == question.scenarios(oily, range(5, 9))[2]
    assert question.scenario(oily, 7) != question.scenario(oily, 8)
    with pytest.raises(IndexError):
        question.scenario(oily, 300)


def test_blocks_are_the_same_to_the_last_bit_in_any_order(oily):
    sweep = sweep_of(oily, asked(oily, BLOCK + 20))
    forward = [block(sweep, first) for first in sweep.blocks()]
    backward = [block(sweep, first) for first in reversed(sweep.blocks())][::-1]
    assert same(forward, backward)


def same(one, other):
    return len(one) == len(other) and all(
        np.array_equal(a.costs, b.costs, equal_nan=True)
        and np.array_equal(a.shares, b.shares)
        and np.array_equal(a.held, b.held, equal_nan=True)
        for a, b in zip(one, other, strict=True)
    )


@pytest.mark.slow
def test_two_processes_give_what_one_gives(oily):
    sweep = sweep_of(oily, asked(oily, BLOCK + 20))
    assert same(list(worked_out(sweep)), list(worked_out(sweep, workers=2)))


@pytest.mark.slow
def test_a_cluster_writes_what_one_process_writes(barwright, tmp_path):
    pytest.importorskip("distributed")
    words = ("sweep", "examples/oily-hair", "--prices", "all=20%", "--count", "510", "--write")
    one, many = tmp_path / "one.csv", tmp_path / "many.csv"
    assert barwright(*words, str(one)).returncode == 0
    done = barwright(*words, str(many), "--cluster", "local", "--workers", "2")
    assert done.returncode == 0, done.stderr
    assert many.read_bytes() == one.read_bytes()


def test_the_price_to_switch_at_is_where_the_two_cost_the_same():
    one, two = material("one", {"A": 1.0}), material("two", {"A": 1.0})
    of = bench([one, two], [4.0, 5.0], [share_of("A", 0.9)])
    sweep = sweep_of(of, Question(200, {"one": (4.0, 6.0)}))
    found = summary_of(sweep, worked_out(sweep))
    first = {each.material: each for each in found.standings}["one"]
    assert 4.9 < first.in_up_to < 5.0 < first.out_from < 5.1
    assert first.used == pytest.approx(0.5, abs=0.1)
    assert found.regret[0] == pytest.approx(0.0, abs=1e-9)
    assert found.regret[-1] == pytest.approx(1.0, abs=0.05)


def test_a_cap_on_cost_is_kept_in_every_scenario():
    one, two = material("one", {"A": 1.0}), material("two", {"A": 1.0})
    cap = Cost(**said("cost", unit="EUR/kg"), low=None, high=4.5)
    of = bench([one, two], [4.0, 5.0], [share_of("A", 0.9), cap])
    sweep = sweep_of(of, Question(100, {"one": (4.0, 6.0)}))
    (found,) = worked_out(sweep)
    assert np.array_equal(np.isnan(found.costs), found.prices[:, 0] > 4.5)


def test_what_cannot_be_had_is_not_used_and_a_formula_with_it_cannot_be_made(oily):
    sweep = sweep_of(oily, Question(12, missing={"kaolin, white": 0.5}))
    (found,) = worked_out(sweep)
    column = oily.material_names.index("kaolin, white")
    out = np.isnan(found.held)
    assert 0 < out.sum() < 12
    assert np.all(found.shares[out, column] == 0.0)
    assert np.all(found.shares[~out, column] > 0.1)


def test_prices_that_were_are_taken_in_turn(oily):
    history = ({"kaolin, white": 2.0}, {"kaolin, white": 3.0})
    sweep = sweep_of(oily, Question(4, history=history))
    column = oily.material_names.index("kaolin, white")
    assert list(block(sweep, 0).prices[:, column]) == [2.0, 3.0, 2.0, 3.0]


def test_a_table_is_taken_up_where_it_ends_and_ends_the_same(barwright, tmp_path):
    words = ("sweep", "examples/oily-hair", "--prices", "all=20%", "--count", "510", "--write")
    whole, cut = tmp_path / "whole.csv", tmp_path / "cut.csv"
    done = barwright(*words, str(whole))
    assert done.returncode == 0, done.stderr
    lines = whole.read_text("utf-8").splitlines(keepends=True)
    assert len(lines) == 511
    cut.write_text("".join(lines[:505]) + lines[505][:20], "utf-8")
    again = barwright(*words, str(cut))
    assert again.stdout == done.stdout
    assert cut.read_bytes() == whole.read_bytes()
    rows = list(csv.DictReader(whole.read_text("utf-8").splitlines()))
    assert float(rows[3]["cost"]) <= float(rows[3]["held"]) + 1e-6


def test_a_table_of_another_question_is_left_alone(barwright, tmp_path):
    file = tmp_path / "sweep.csv"
    words = ("sweep", "examples/oily-hair", "--count", "2", "--write", str(file))
    assert barwright(*words, "--prices", "all=20%").returncode == 0
    before = file.read_bytes()
    other = barwright(*words, "--prices", "all=30%")
    assert other.returncode == 2
    assert "another question" in other.stderr
    assert file.read_bytes() == before


@pytest.mark.parametrize(
    ("option", "said", "expected"),
    [
        ("--prices", "all=0%", "NAME=20%"),
        ("--prices", "kaolin, white=9..4", "NAME=9..14"),
        ("--prices", "chalk=20%", "a material on the shelf"),
        ("--missing", "kaolin, white=120%", "NAME=10%"),
    ],
)
def test_what_cannot_be_understood_is_refused(option, said, expected, barwright):
    done = barwright("sweep", "examples/oily-hair", option, said)
    assert done.returncode == 2
    assert expected in done.stderr


def test_nothing_that_varies_is_refused(barwright):
    done = barwright("sweep", "examples/oily-hair")
    assert done.returncode == 2
    assert "nothing that varies" in done.stderr


def test_a_summary_as_json_holds_its_figures(barwright):
    words = ("--prices", "kaolin, white=20%", "--count", "5", "--format", "json")
    done = barwright("sweep", "examples/oily-hair", *words)
    form = json.loads(done.stdout)
    assert form["scenarios"] == 5
    assert len(form["costs"]) == len(form["quantiles"]) == 5


def test_formulas_by_the_thousand_are_priced_in_each_scenario_by_hand():
    one, two = material("one", {"A": 1.0}), material("two", {"A": 1.0})
    of = bench([one, two], [4.0, 5.0], [])
    question = Question(700, {"one": (4.0, 6.0)}, missing={"two": 0.25})
    named = [Composition(f"{at}", {"one": at / 1000, "two": 1 - at / 1000}) for at in range(1001)]
    found = held_formulas(of, question, named)
    assert len(found) == 1001
    first = question.scenarios(of, range(700))
    gone = sum("two" in each.missing for each in first)
    assert found[500].unmade == gone > 100
    assert found[1000].unmade == 0
    there = [0.5 * e.prices[0] + 0.5 * e.prices[1] for e in first if "two" not in e.missing]
    assert found[500].costs[0] == pytest.approx(min(there))
    assert found[500].costs[-1] == pytest.approx(max(there))


def test_every_formula_of_a_folder_is_priced_in_each_scenario(barwright):
    words = ("--prices", "all=20%", "--count", "8", "--formulas", "examples/oily-hair/formulas")
    form = json.loads(barwright("sweep", "examples/oily-hair", *words, "--format", "json").stdout)
    assert len(form["formulas"]) == 4
    assert all(one["costs"][0] < one["costs"][-1] for one in form["formulas"])


def test_a_folder_without_formulas_is_refused(barwright):
    done = barwright("sweep", "examples/oily-hair", "--prices", "all=20%", "--formulas", "nowhere")
    assert done.returncode == 2
    assert "a folder of formulas" in done.stderr
