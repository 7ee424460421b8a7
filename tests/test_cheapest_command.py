"""The cheapest composition on the command line: proved, priced on both sides, and short."""

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from barwright.constraints.bench.reading import read_bench
from barwright.solver.cheapest.cheapest import cheapest
from barwright.solver.prices.worth import proved, worth
from barwright.solver.program.outcome import Optimal
from barwright.solver.proof.proved import ProvedOptimal, Unproved
from blends import bench, material, share_of
from conftest import asking_for_all


@pytest.fixture
def barwright(barwright):
    """All there is to say: one screen of it has pages of its own."""
    return asking_for_all(barwright)


ROOT = Path(__file__).resolve().parent.parent
OILY = "examples/oily-hair"
CHEAP = material("cheap, plain", {"Cheap": 1.0})
DEAR = material("dear, plain", {"Dear": 1.0})
OTHER = material("other, plain", {"Other": 1.0})


def valued(kept):
    finding = cheapest(kept)
    finding, proof = proved(kept, finding)
    return finding, worth(finding, proof)


def run(*words):
    return subprocess.run(
        [sys.executable, "-m", "barwright.cli", *words],
        cwd=ROOT,
        capture_output=True,
        check=True,
        encoding="utf-8",
    ).stdout


@pytest.fixture(scope="module")
def printed():
    return json.loads(run("cheapest", OILY, "--format", "json"))


def test_the_answer_says_proved_optimal_only_with_a_proof(barwright):
    assert "Proved optimal" in barwright("cheapest", OILY).stdout
    unproved = barwright("cheapest", OILY, "--no-proof").stdout
    assert "Proved optimal" not in unproved
    assert "Not proved" in unproved


def test_the_page_fits_the_screen_and_stays_readable(barwright):
    lines = barwright("cheapest", OILY).stdout.splitlines()
    assert max(map(len, lines)) <= 80
    assert len(lines) <= 200


def test_a_reason_is_given_once_for_every_rule_that_binds(barwright, printed):
    text = " ".join(barwright("cheapest", OILY).stdout.split())
    because = {rule["rule"]: rule["because"] for rule in printed["rules"]}
    for price in printed["binding"]:
        assert text.count(because[price["rule"]]) == 1, price["rule"]


def test_json_holds_proof_prices_choices_and_entry_prices(printed):
    assert printed["proof"]["proved"] is True
    assert len(printed["proof"]["columns"]) == len(printed["certificate"]["program"]["costs"])
    assert {one["rule"] for one in printed["exact"]["limit_prices"]} >= {"protein", "water"}
    assert all(other["premium"] > 0 for other in printed["other_choices"])
    entries = printed["exact"]["enters_below"]
    assert all(entries[left["material"]] == left["enters_below"] for left in printed["left_out"])


def test_each_exact_price_agrees_with_the_step_within_its_reach(printed):
    steps = {(one["rule"], one["side"]): one for one in printed["binding"]}
    for slope in printed["exact"]["limit_prices"]:
        step = steps[slope["rule"], slope["side"]]
        rule = next(one for one in printed["rules"] if one["rule"] == slope["rule"])
        reach = abs(slope["tighter_holds_to"] - rule[slope["side"]])
        if step["tighter_adds"] is not None and reach >= step["step"]:
            expected = slope["tighter_adds_per_unit"] * step["step"]
            assert step["tighter_adds"] == pytest.approx(expected, abs=1e-6)


def test_one_sided_prices_differ_where_other_rules_take_over():
    # both rules stand at 30 % of the dear one: tightening one costs, loosening it alone saves none
    rules = [share_of("Dear", low=0.3), share_of("Cheap", high=0.7)]
    mixed = bench([CHEAP, DEAR], [1.0, 4.0], rules)
    _, found = valued(mixed)
    slope = found.slopes["Dear share", "low"]
    assert (slope.tighter, slope.looser) == pytest.approx((3.0, 0.0))
    assert slope.parts
    assert slope.tightest == pytest.approx(1.0)


def test_a_price_that_holds_both_ways_says_how_far():
    mixed = bench([CHEAP, DEAR], [1.0, 4.0], [share_of("Dear", low=0.3, high=0.5)])
    slope = valued(mixed)[1].slopes["Dear share", "low"]
    assert (slope.tighter, slope.looser) == pytest.approx((3.0, 3.0))
    assert (slope.loosest, slope.tightest) == pytest.approx((0.0, 0.5))
    assert slope.ends
    assert not slope.parts


def test_an_upper_limit_has_its_tight_side_below():
    mixed = bench([CHEAP, DEAR], [1.0, 4.0], [share_of("Cheap", high=0.6)])
    slope = valued(mixed)[1].slopes["Cheap share", "high"]
    assert (slope.tighter, slope.looser) == pytest.approx((3.0, 3.0))
    assert (slope.tightest, slope.loosest) == pytest.approx((0.0, 1.0))


def test_the_price_of_entry_is_exact():
    mixed = bench([CHEAP, DEAR, OTHER], [1.0, 4.0, 9.0], [share_of("Cheap", high=0.6)])
    (left,) = valued(mixed)[0].left_out
    assert (left.material, left.enters_below) == ("other, plain", 4.0)


def test_a_tie_is_told():
    mixed = bench([CHEAP, DEAR, OTHER], [1.0, 4.0, 4.0], [share_of("Cheap", high=0.6)])
    assert set(valued(mixed)[1].tied) == {"dear, plain", "other, plain"}
    apart = bench([CHEAP, DEAR, OTHER], [1.0, 4.0, 5.0], [share_of("Cheap", high=0.6)])
    assert valued(apart)[1].tied == ()


def test_a_dearer_answer_of_the_solver_is_put_right_and_proved():
    mixed = bench([CHEAP, DEAR], [1.0, 4.0], [share_of("Cheap", high=0.6)])
    right = cheapest(mixed)
    program, optimal = right.fixed
    wrong_point = Optimal(2.5, (0.5, 0.5), (), (), None)
    wrong = replace(right, cost=2.5, optimal=wrong_point, fixed=(program, wrong_point))
    better, proof = proved(mixed, wrong)
    assert isinstance(proof, ProvedOptimal)
    assert better.cost == pytest.approx(optimal.cost)
    assert better.composition.parts == pytest.approx(right.composition.parts)


def test_an_unproved_answer_is_never_called_proved():
    _, found = valued(bench([CHEAP, DEAR], [1.0, 4.0], [share_of("Cheap", high=0.6)]))
    assert found.proved
    assert not replace(found, proof=Unproved("for a test")).proved
    assert not replace(found, proof=replace(found.proof, excess=1e-3)).proved


def test_both_examples_are_proved():
    for name in ("oily-hair", "dry-hair"):
        assert valued(read_bench(ROOT / "examples" / name))[1].proved


def test_alternatives_are_shown_side_by_side(barwright):
    done = barwright("cheapest", OILY, "--alternatives", "1", "--within", "1%")
    text = " ".join(done.stdout.split())
    assert "What else could be made for at most 1 % more" in text
    assert "replaces" in text
    assert max(map(len, done.stdout.splitlines())) <= 80


@pytest.mark.parametrize(
    "words",
    [("--within", "plenty"), ("--within", "-1%"), ("--certificate", "c.json", "--no-proof")],
)
def test_what_makes_no_sense_is_bad_input(barwright, words):
    done = barwright("cheapest", OILY, *words)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
