"""Very many scenarios: the same as one by one, whoever works them out, in whatever order."""

import csv
import json
from dataclasses import replace
from math import inf

import numpy as np
import pytest
from barwright import cheapest, read_bench
from barwright.cli.sweep.asking import Options, question_of
from barwright.cli.sweep.marking import mark_of
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.material import Span
from barwright.constraints.model.row import Row
from barwright.constraints.rules.cost import Cost
from barwright.constraints.rules.judging import judge
from barwright.solver.cheapest.cheapest import program_of
from barwright.solver.program.opinion import second_opinion
from barwright.solver.program.outcome import Optimal, Program
from barwright.solver.scenarios.formulas import held_formulas
from barwright.solver.scenarios.moved_limit import MovedLimit
from barwright.solver.scenarios.question import Question
from barwright.solver.scenarios.summary import summary_of
from barwright.solver.scenarios.sweep import BLOCK, SLOW_BLOCK, block, sweep_of, worked_out
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


def test_blocks_are_the_same_to_the_last_bit_in_any_order(oily, monkeypatch):
    monkeypatch.setattr("barwright.solver.scenarios.sweep.BLOCK", 500)
    sweep = sweep_of(oily, asked(oily, 520))
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


MORE_THAN_A_BLOCK = (
    *("sweep", "examples/oily-hair", "--prices", "all=20%"),
    *("--count", f"{BLOCK + 10}", "--write"),
)


@pytest.mark.slow
def test_two_processes_give_what_one_gives(oily):
    sweep = sweep_of(oily, asked(oily, BLOCK + 20))
    assert same(list(worked_out(sweep)), list(worked_out(sweep, workers=2)))


@pytest.mark.slow
def test_a_cluster_writes_what_one_process_writes(barwright, tmp_path):
    pytest.importorskip("distributed")
    one, many = tmp_path / "one.csv", tmp_path / "many.csv"
    assert barwright(*MORE_THAN_A_BLOCK, str(one)).returncode == 0
    done = barwright(*MORE_THAN_A_BLOCK, str(many), "--cluster", "local", "--workers", "2")
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
    (along,) = found.along
    other = {each.material: each for each in along.switches}["two"]
    assert 4.9 < other.without[1] < 5.0 < other.within[0] < 5.1  # the price of the one, not its own


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
    whole, cut = tmp_path / "whole.csv", tmp_path / "cut.csv"
    done = barwright(*MORE_THAN_A_BLOCK, str(whole))
    assert done.returncode == 0, done.stderr
    lines = whole.read_text("utf-8").splitlines(keepends=True)
    assert len(lines) == BLOCK + 11
    cut.write_text("".join(lines[: BLOCK + 5]) + lines[BLOCK + 5][:20], "utf-8")
    again = barwright(*MORE_THAN_A_BLOCK, str(cut))
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


PROTEIN = MovedLimit("protein", "low", (0.002, 0.01), drawn=True)


def test_with_other_lots_and_limits_each_costs_what_the_bench_costs_as_it_is_then(oily):
    question = asked(oily, 5, 0.1, lots=oily.material_names, limits=(PROTEIN,))
    found = block(sweep_of(oily, question), 0)
    for number in range(5):
        then = question.scenario(oily, number).over(oily)
        alone = cheapest(then)
        assert found.costs[number] == pytest.approx(alone.cost, rel=1e-4)  # as near as a search is
        shares = zip(oily.material_names, found.shares[number], strict=True)
        made = Composition("", {name: share for name, share in shares if share > 1e-9})
        assert all(one.kept for one in judge(then, made))


@pytest.mark.reference
def test_other_lots_and_limits_cost_what_another_solver_says():
    """CBC, asked anew over hand-made rows of the lots and the limit of each scenario."""
    spans = {"A": Span(0.2, 0.3, 0.4), "B": Span(0.6, 0.7, 0.8)}
    shelf = [
        material("one", {"A": 0.1, "B": 0.9}),
        replace(material("two", {"A": 0.3, "B": 0.7}), contents=spans),
    ]
    of = bench(shelf, [3.0, 4.0], [share_of("A", 0.15)])
    moving = MovedLimit(of.brief.rules[0].id, "low", (0.12, 0.19), drawn=True)
    question = Question(25, {"one": (2.0, 6.0)}, lots=("two",), limits=(moving,))
    found = block(sweep_of(of, question), 0)
    seen = set()
    for number, one in enumerate(question.scenarios(of, range(25))):
        content, limit = one.lots["two"][0], one.limits[0][1]
        rows = (
            Row("sum", "", (0, 1), (1.0, 1.0), 1.0, 1.0),
            Row("A", "", (0, 1), (0.1, content), limit, inf),
        )
        program = Program(one.prices, (0.0, 0.0), (inf, inf), (False, False), rows)
        assert found.costs[number] == pytest.approx(second_opinion(program).cost, abs=1e-7)
        seen.add(round(content, 6))
    assert len(seen) > 20


def test_lots_lie_in_their_ranges_add_up_and_move_with_the_seed_alone(oily):
    question = Question(600, lots=("kaolin, white", "cetearyl alcohol, 50/50, pellets"))
    lots = question.lots_laid(oily, range(600))
    for name, figures in lots.items():
        spans = list(oily.material(name).contents.values())
        low = [span.low for span in spans]
        high = [span.high for span in spans]
        assert np.all(figures[:, :-1] >= np.array(low) - 1e-12)
        assert np.all(figures[:, :-1] <= np.array(high) + 1e-12)
        assert figures[:, :-1].sum(axis=1) == pytest.approx(sum(span.typical for span in spans))
    again = replace(question, prices={"kaolin, white": (1.0, 2.0)}).lots_laid(oily, range(490, 510))
    assert np.array_equal(lots["kaolin, white"][490:510], again["kaolin, white"])
    other = replace(question, seed=2).lots_laid(oily, range(10))
    assert not np.array_equal(other["kaolin, white"], lots["kaolin, white"][:10])


def test_what_is_taken_in_turn_goes_through_all_combinations(oily):
    history = ({"kaolin, white": 2.0}, {"kaolin, white": 3.0})
    limits = (
        MovedLimit("protein", "low", (0.002, 0.005, 0.01)),
        MovedLimit("panthenol", "low", (0.005, 0.006)),
    )
    question = Question(12, history=history, limits=limits)
    assert question.in_turn == 12
    found = question.scenarios(oily, range(12))
    column = oily.material_names.index("kaolin, white")
    states = {(one.prices[column], *(place for _, place in one.limits)) for one in found}
    assert len(states) == 12


def test_blocks_of_lots_are_the_same_to_the_last_bit_in_any_order(oily):
    sweep = sweep_of(oily, Question(SLOW_BLOCK + 3, lots=("kaolin, white",), limits=(PROTEIN,)))
    last = block(sweep, SLOW_BLOCK)
    block(sweep, 0)
    assert same([last], [block(sweep, SLOW_BLOCK)])


def test_the_formula_that_is_held_breaks_what_the_judge_says_it_breaks(oily):
    question = Question(6, lots=oily.material_names, limits=(PROTEIN,))
    sweep = sweep_of(oily, question)
    found = block(sweep, 0)
    for number, one in enumerate(question.scenarios(oily, range(6))):
        verdicts = judge(one.over(oily), sweep.held)
        assert [not each.kept for each in verdicts] == list(found.broken[number])
    assert np.all(np.isnan(found.regret[found.broken.any(axis=1)]))


def test_a_limit_that_no_composition_keeps_is_counted_where_it_stands():
    one, two = material("one", {"A": 0.2}), material("two", {"A": 0.8})
    of = bench([one, two], [4.0, 5.0], [share_of("A", 0.3)])
    limit = MovedLimit(of.brief.rules[0].id, "low", (0.3, 0.8, 0.9))
    sweep = sweep_of(of, Question(6, limits=(limit,)))
    found = summary_of(sweep, worked_out(sweep))
    (along,) = found.along
    assert [(each.count, each.none) for each in along.stretches] == [(2, 0), (2, 0), (2, 2)]
    assert found.none == 2
    (switch,) = along.switches
    assert switch.material == "one"
    assert switch.within == (0.3, 0.3)
    assert switch.without == (0.8, 0.8)


def test_what_cannot_be_told_is_not_counted_as_without_a_composition(oily, monkeypatch):
    from barwright.solver.program.outcome import Stopped
    from barwright.solver.scenarios import changing_rows, found

    monkeypatch.setattr(changing_rows.ChangingRows, "cheapest", lambda *_: None)
    monkeypatch.setattr(found, "solved_anew", lambda *_: Stopped("no time"))
    sweep = sweep_of(oily, Question(3, limits=(PROTEIN,)))
    told = summary_of(sweep, worked_out(sweep))
    assert (told.none, told.untold) == (0, 3)


def test_lots_and_limits_are_written_and_taken_up_to_the_last_bit(barwright, tmp_path):
    words = (
        "sweep",
        "examples/oily-hair",
        "--lots",
        "kaolin, white",
        "--prices",
        "kaolin, white=20%",
        "--limit",
    )
    words = (*words, "protein min=0.2%..0.9%", "--count", str(SLOW_BLOCK + 2), "--write")
    whole, cut = tmp_path / "whole.csv", tmp_path / "cut.csv"
    done = barwright(*words, str(whole))
    assert done.returncode == 0, done.stderr
    lines = whole.read_text("utf-8").splitlines(keepends=True)
    cut.write_text("".join(lines[:-1]), "utf-8")
    assert barwright(*words, str(cut)).stdout == done.stdout
    assert cut.read_bytes() == whole.read_bytes()
    row = next(csv.DictReader(lines))
    assert 0.002 <= float(row["limit protein, min"]) <= 0.009
    assert float(row["lot kaolin, white, Kaolin"]) > 0.9
    assert row["composition"] == "found"


@pytest.mark.slow
def test_two_processes_give_the_same_lots_and_limits(oily):
    question = Question(SLOW_BLOCK + 2, lots=("kaolin, white",), limits=(PROTEIN,))
    sweep = sweep_of(oily, question)
    assert same(list(worked_out(sweep)), list(worked_out(sweep, workers=2)))


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("protein=0.1%..1%", "protein min="),
        ("protein min=1%..0.1%", "0.1%..1%"),
        ("protein min=lots", "a figure in %"),
        ("protein min=..1%", "0.1%..1%"),
        ("chalk=1", "a rule of the brief"),
        ("=1%", "0.1%..1%"),
        ("protein min=120%", "limits that the rule can have"),
    ],
)
def test_a_limit_that_cannot_be_understood_is_refused(said, expected, barwright):
    done = barwright("sweep", "examples/oily-hair", "--limit", said)
    assert done.returncode == 2
    assert expected in done.stderr


def test_a_limit_moved_twice_is_refused(barwright):
    words = ("--limit", "protein min=0.2%;1%", "--limit", "protein min=0.3%;1%")
    done = barwright("sweep", "examples/oily-hair", *words)
    assert done.returncode == 2
    assert "twice" in done.stderr


def test_a_table_of_another_shelf_is_another_question(oily):
    sweep = sweep_of(oily, Question(2, limits=(PROTEIN,)))
    items = list(oily.shelf)
    items[0] = replace(items[0], material=replace(items[0].material, buffer=0.123))
    assert mark_of(sweep) != mark_of(replace(sweep, bench=replace(oily, shelf=tuple(items))))


def test_what_cannot_be_had_is_not_used_where_lots_and_limits_move_too(oily):
    name = "kaolin, white"
    question = Question(8, lots=(name,), limits=(PROTEIN,), missing={name: 0.5})
    found = block(sweep_of(oily, question), 0)
    column, out = oily.material_names.index(name), np.isnan(found.held)
    assert 0 < out.sum() < 8
    assert np.all(found.shares[out, column] == 0.0)
    assert np.all(found.shares[~out, column] > 0.1)
    for number in (int(np.flatnonzero(out)[0]), int(np.flatnonzero(~out)[0])):
        then = question.scenario(oily, number)
        without = tuple(i for i in then.over(oily).shelf if i.material.name not in then.missing)
        alone = cheapest(replace(then.over(oily), shelf=without))
        assert found.costs[number] == pytest.approx(alone.cost, rel=1e-4)


def test_all_means_each_of_them_wherever_it_stands(oily):
    said = Options((), ("all=10%",), None, (), ("all",), count=None, seed=1)
    question = question_of(oily, said)
    assert set(question.missing) == set(question.lots) == set(oily.material_names)
