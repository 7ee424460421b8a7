"""One limit of time over every command: an end in words and a code, and what there is by then."""

import json
import signal
import time
from dataclasses import replace
from itertools import count

import pytest
from barwright.cli.kit import time_limit
from barwright.cli.kit.app import COMMANDS, run
from barwright.cli.kit.exit import Exit
from barwright.constraints.bench.opening import read_bench, read_start
from barwright.constraints.bench.wish import Wish
from barwright.solver.nearest.family import Family, family
from barwright.solver.nearest.nearest import Near
from barwright.solver.program.deadline import TIME_RAN_OUT, Deadline
from barwright.solver.program.outcome import Stopped
from barwright.solver.scenarios.question import Question
from barwright.solver.scenarios.summary import summary_of
from barwright.solver.scenarios.sweep import BLOCK, sweep_of, worked_out
from barwright.workshop.changing.replacing import Aside, NoReplacement, replaced, usual_nearly
from barwright.workshop.changing.runout import run_out

OILY, DRY = "examples/oily-hair", "examples/dry-hair"
TODAY, DRY_TODAY = f"{OILY}/formulas/today.toml", f"{DRY}/formulas/today.toml"
GONE = "sodium coco-sulfate, needles"
LINES = {
    "cheapest": (OILY,),
    "curve": (OILY, "--limit", "protein"),
    "sweep": (OILY, "--prices", "all=20%", "--count", "300"),
    "check": (OILY, TODAY),
    "compare": (TODAY, DRY_TODAY),
    "replace": (DRY, DRY_TODAY, "--without", GONE),
    "runout": (OILY, TODAY, "--old", "needles", "--batch", "10kg"),
    "acidity": (OILY, TODAY),
    "batch": (OILY, TODAY, "--bars", "12"),
    "fill": (OILY,),
    "label": (OILY, TODAY),
    "price": (OILY, TODAY, "--bars", "12"),
    "plan": ("examples/market-days.csv", "--from", "2026-11-23"),
    "book": ("examples",),
    "materials": ("glutamate",),
}
PARTLY = ("cheapest", "curve", "sweep", "replace", "runout", "batch", "plan")
"""Commands that look at the time themselves and show what they have."""


@pytest.fixture
def ended(root, monkeypatch, capsys):
    """Run a command line in this process; gives its exit code, stdout and stderr."""

    def ran(*words):
        monkeypatch.chdir(root)
        with pytest.raises(SystemExit) as left:
            run(words)
        return int(left.value.code), *capsys.readouterr()

    return ran


def ticking(ends):
    """A deadline whose clock goes on by one whenever it is looked at."""
    ticks = count()
    return Deadline(float(ends), lambda: float(next(ticks)))


def test_every_command_takes_a_limit_but_those_that_are_over_before_it():
    assert {*LINES, "verify", "page"} | time_limit.WITHOUT == set(COMMANDS)


# stopped in the middle of an import, a module's file is left for the system to close
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
@pytest.mark.parametrize("name", LINES)
def test_with_next_to_no_time_a_command_ends_in_words_and_with_its_code(name, ended):
    code, out, err = ended(name, *LINES[name], "--time-limit", "0.001")
    assert code in {Exit.DONE, Exit.STOPPED}, (out, err)
    assert out or err
    if code == Exit.STOPPED:
        assert "ran out" in " ".join((out + err).split())


@pytest.mark.parametrize("name", ["label", "fill", "compare", "price", "check", "acidity"])
def test_what_can_show_no_part_is_stopped_where_it_is_when_its_time_is_over(
    name, ended, monkeypatch
):
    hanging_bench(monkeypatch)
    code, out, err = ended(name, *LINES[name], "--time-limit", "0.05")
    assert (code, out) == (Exit.STOPPED, "")
    assert err.startswith("The 0.05 s allowed ran out before there was an answer")


def hanging_bench(monkeypatch, then=lambda: None):
    """Have whoever reads a bench wait, after doing something first."""
    from barwright.cli.kit import opening
    from barwright.constraints.bench import opening as reading

    def waits(*_given, **_named):
        then()
        time.sleep(30)
        raise AssertionError("nobody ended it")

    for module, name in ((opening, "bench_in"), (reading, "read_bench"), (reading, "read_start")):
        monkeypatch.setattr(module, name, waits)
    import importlib

    for command in ("label", "fill", "price", "check", "acidity"):
        module = importlib.import_module(f"barwright.cli.{command}.command")
        monkeypatch.setattr(module, "bench_in", waits)


def test_ctrl_c_before_there_is_anything_to_show_says_so(ended, monkeypatch):
    hanging_bench(monkeypatch, lambda: signal.raise_signal(signal.SIGINT))
    code, out, err = ended("label", *LINES["label"])
    assert (code, out, err) == (Exit.STOPPED, "", "Stopped before there was an answer.\n")


def test_who_listened_to_ctrl_c_before_a_command_does_so_after_it(ended):
    before = signal.getsignal(signal.SIGINT)
    ended("materials", "glutamate")
    assert signal.getsignal(signal.SIGINT) is before


def test_ctrl_c_while_it_is_explained_still_shows_the_finding(ended, monkeypatch):
    from barwright.workshop.changing import replacing

    honest = replacing.exchanged

    def pressed(*given, **named):
        signal.raise_signal(signal.SIGINT)
        return honest(*given, **named)

    monkeypatch.setattr(replacing, "exchanged", pressed)
    code, out, _ = ended("replace", *LINES["replace"])
    assert code == Exit.DONE
    assert out.startswith("Reedmere bar for dry hair")
    assert GONE in out
    said = " ".join(out.split())
    assert "Left undone, as time ran out" in said
    assert Aside.CHEAPEST in said


def test_a_second_ctrl_c_ends_what_would_still_show_a_part(ended, monkeypatch):
    from barwright.workshop.changing import replacing

    def pressed(*_given, **_named):
        signal.raise_signal(signal.SIGINT)
        signal.raise_signal(signal.SIGINT)
        raise AssertionError("nobody ended it")

    monkeypatch.setattr(replacing, "exchanged", pressed)
    code, out, err = ended("replace", *LINES["replace"])
    assert (code, out, err) == (Exit.STOPPED, "", "Stopped before there was an answer.\n")


@pytest.fixture(scope="module")
def start(root):
    return read_start(root / DRY, (root / DRY_TODAY,), Wish((GONE,)))


@pytest.fixture(scope="module")
def whole(start):
    return replaced(start, nearly=usual_nearly())


@pytest.mark.parametrize("ends", [1, 3, 8, 18, 40, 130])
def test_whenever_time_runs_out_a_replacement_is_true_and_says_what_it_lacks(ends, start, whole):
    found = replaced(start, nearly=usual_nearly(), deadline=ticking(ends))
    if isinstance(found, NoReplacement):
        assert found.refusal.outcome == Stopped(TIME_RAN_OUT)
        return
    assert all(verdict.kept for verdict in found.near.verdicts)
    if Aside.FEW not in found.undone:
        assert found.near.cost == pytest.approx(whole.near.cost)
    for what, one, other in (
        (Aside.EXCHANGE, found.exchange, whole.exchange),
        (Aside.NEAREST, found.nearest, whole.nearest),
        (Aside.CHEAPEST, found.cheapest, whole.cheapest),
    ):
        if one is None:
            assert {what, Aside.FEW} & found.undone
        else:
            assert one.cost == pytest.approx(other.cost, abs=1e-6)


@pytest.mark.parametrize("ends", [1, 3, 9, 27, 81, 243])
def test_whenever_time_runs_out_a_stock_that_is_used_up_is_planned_or_said_to_be_unsettled(
    ends, start
):
    found = run_out(start.bench, start.formulas[0], GONE, 1.3, 5.0, deadline=ticking(ends))
    assert found.whole == 4  # 1.3 kg at 6 % of 5 kg, whatever else there was time for
    for one in (found.mixed, found.after):
        if isinstance(one, Near):
            assert all(verdict.kept for verdict in one.verdicts)
        else:
            assert one.outcome == Stopped(TIME_RAN_OUT)


def test_a_stock_whose_new_formula_there_was_no_time_for_is_not_called_impossible(
    ended, monkeypatch
):
    ticks = count()
    monkeypatch.setattr(time_limit, "monotonic", lambda: 1000.0 * next(ticks))
    code, out, _ = ended("runout", *LINES["runout"], "--stock", "1.3 kg")
    assert code == Exit.STOPPED
    assert "keeps every rule" not in out
    assert "was not settled: the time allowed ran out" in " ".join(out.split())


@pytest.mark.parametrize("ends", [2, 60, 480])
def test_whenever_time_runs_out_bars_on_one_base_keep_their_rules(ends, root):
    paths = (root / DRY_TODAY, root / TODAY)
    start = read_start(root / DRY, paths, Wish((GONE,)))
    found = family(start.bench, start.formulas, nearly=usual_nearly(), deadline=ticking(ends))
    if not isinstance(found, Family):
        return
    bars = [bar for base in found.bases for bar in base.bars]
    assert len(bars) == len(paths)
    assert all(verdict.kept for bar in bars for verdict in bar.verdicts)


def test_scenarios_that_there_was_no_time_for_are_counted_as_undone(root):
    bench = read_bench(root / OILY)
    sweep = sweep_of(bench, Question(2 * BLOCK, {"kaolin, white": (1.0, 3.0)}))
    found = summary_of(sweep, worked_out(sweep, deadline=Deadline(0.0, lambda: 1.0)))
    assert found.asked == 2 * BLOCK
    assert 0 < found.count <= BLOCK


def test_scenarios_asked_from_cold_stop_within_a_block(root, monkeypatch):
    bench = read_bench(root / OILY)
    monkeypatch.setattr("barwright.solver.scenarios.sweep.only_capped", lambda _: False)
    sweep = sweep_of(bench, Question(BLOCK, {"kaolin, white": (1.0, 3.0)}))
    (cut,) = worked_out(sweep, deadline=ticking(3))
    (cold,) = worked_out(replace(sweep, question=replace(sweep.question, count=3)))
    assert cut.costs.tolist() == cold.costs.tolist()
    assert len(cut.prices) == len(cut.shares) == len(cut.held) == 3


def test_a_sweep_says_how_much_of_it_was_left_undone(ended, monkeypatch):
    monkeypatch.setattr(
        "barwright.solver.scenarios.sweep.worked_out",
        lambda sweep, *_: worked_out(sweep, deadline=Deadline(0.0, lambda: 1.0)),
    )
    words = ("sweep", OILY, "--prices", "all=20%", "--count", str(BLOCK + 350))
    code, out, _ = ended(*words)
    assert code == Exit.DONE
    assert "350 more were left undone as time ran out." in out
    form = json.loads(ended(*words, "--format", "json")[1])
    assert (form["scenarios"], form["undone"]) == (BLOCK, 350)


def test_a_replacement_that_cannot_be_is_refused_and_explained_within_the_limit(ended):
    words = ("replace", OILY, TODAY, "--avoid", "class:surfactant", "--all")
    code, out, _ = ended(*words, "--time-limit", "2")
    assert code in {Exit.NO_COMPOSITION, Exit.STOPPED}
    assert out


def test_where_no_proof_was_reached_the_answer_is_shown_and_the_certificate_said_not_written(
    ended, monkeypatch, tmp_path
):
    from barwright.solver.answers import explained
    from barwright.solver.program.deadline import TIME_RAN_OUT
    from barwright.solver.proof.proved import Unproved

    out_of_time = Unproved(TIME_RAN_OUT)
    monkeypatch.setattr(explained, "proved", lambda _bench, found, _until: (found, out_of_time))
    file = tmp_path / "proof.json"
    code, out, err = ended("cheapest", *LINES["cheapest"], "--certificate", str(file))
    assert code == Exit.STOPPED
    assert "EUR/kg of mix" in out
    assert err.startswith("No certificate was written, as there is no proof: the time allowed ran")
    assert not file.exists()
