"""Compositions that keep their rules for the lots that may come."""

import json
import shutil
from dataclasses import replace

import pytest
from barwright import cheapest, judge, read_bench
from barwright.cli.sureness.words import what_of
from barwright.constraints.acidity.charge import equilibrium, in_water
from barwright.constraints.bench.remarks import uncounted
from barwright.constraints.model.uncertainty import Uncertainty
from barwright.constraints.rules.acidity import band_of
from barwright.constraints.rules.cost import Cost
from barwright.constraints.rules.holding import holding
from barwright.constraints.rules.judging import mix_of
from barwright.solver.program.outcome import Infeasible
from barwright.solver.proof.proof import prove
from barwright.solver.proof.proved import ProvedOptimal
from barwright.solver.uncertain.demand import moved_by_lots
from barwright.solver.uncertain.draws import Spread
from barwright.solver.uncertain.leaning import correction_of
from barwright.solver.uncertain.sure import NotSure, Sure, surely, what_may_come
from barwright.solver.uncertain.tried import tried
from barwright.solver.uncertain.tuning import allowed, both_ends
from barwright.solver.uncertain.worth import Worth, worth_of_knowing
from blends import bench, material, said, share_of


@pytest.fixture(scope="module")
def oily(root):
    return read_bench(root / "examples/oily-hair")


@pytest.fixture(scope="module")
def always(oily):
    return surely(oily, draws=2000)


def test_always_keeps_every_rule_in_every_lot_drawn(always):
    assert isinstance(always, Sure)
    assert always.verified
    assert always.tried.broken == 0


def test_always_is_proved_like_any_other_answer(always):
    proof = prove(always.finding.program, always.finding.optimal)
    assert isinstance(proof, ProvedOptimal)


def test_what_is_sure_costs_more_than_what_is_typical(oily, always):
    assert cheapest(oily).cost < always.finding.cost < 1.05 * cheapest(oily).cost


def test_without_a_correction_no_bar_keeps_this_band_for_every_lot(oily):
    found = surely(oily, within=Uncertainty(), draws=100)
    assert isinstance(found, NotSure)
    assert isinstance(found.refusal.outcome, Infeasible)


def test_the_most_that_is_added_brings_the_worst_lot_to_the_upper_limit(oily, always):
    """The worst high lot, then the addition, predicted anew; so much is needed and no more."""
    from barwright.constraints.rules.extreme import extreme

    band, added = band_of(oily.brief), always.correction
    mix = mix_of(oily, always.finding.composition)
    known = what_may_come(oily)
    before, _ = extreme(band, mix, known, -1.0)
    after, _ = extreme(band, mix.with_more(added.material, added.price, added.most), known, -1.0)
    assert before > 6.0
    assert after == pytest.approx(band.high, abs=0.01)


def test_every_other_rule_is_kept_with_the_most_that_is_added_too(oily, always):
    added = always.correction
    mix = mix_of(oily, always.finding.composition)
    more = mix.with_more(added.material, added.price, added.most)
    for rule in oily.brief.rules:
        if not rule.corrected:
            assert rule.judged(more).kept, rule.id


def test_a_sure_bench_judges_its_own_answer_and_refuses_the_plain_one(oily, always):
    assert all(verdict.kept for verdict in judge(always.bench, always.finding.composition))
    assert not all(verdict.kept for verdict in judge(always.bench, cheapest(oily).composition))


def test_a_mix_with_more_of_a_material_adds_to_one(oily):
    mix = mix_of(oily, cheapest(oily).composition)
    item = oily.item("lactic acid, 80 % solution")
    more = mix.with_more(item.material, item.price, 0.01)
    assert sum(share for _, share in more.shares) == pytest.approx(1.0)
    assert more.share_of("lactic acid, 80 % solution") == pytest.approx(0.01 / 1.01)
    ph, _ = equilibrium(in_water(more.shares, more.substances, 0.1))
    assert ph < equilibrium(in_water(mix.shares, mix.substances, 0.1))[0] - 0.3


def test_nine_times_in_ten_is_kept_nine_times_in_ten_by_hand():
    """A price in the triangle 4, 8, 12 has its dearest tenth above 12 - 4·√0.2."""
    risky, safe = material("risky", {"A": 1.0}), material("safe", {"A": 1.0})
    cap = Cost(**said("cost", unit="EUR/kg"), low=None, high=9.5)
    found = surely(bench([risky, safe], [8.0, 9.0], [cap]), 0.9, Uncertainty({"risky": 0.5}))
    assert isinstance(found, Sure)
    assert found.verified
    share = (9.5 - 9.0) / (12.0 - 4.0 * 0.2**0.5 - 9.0)
    assert 0.9 * share < found.finding.composition.parts["risky"] < share  # bounded, not met
    assert 0.08 < found.tried.rules[0].share < 0.1


def test_typical_is_the_plain_answer(oily):
    found = surely(oily, 0.0, Uncertainty(), draws=100)
    assert found.finding.cost == pytest.approx(cheapest(oily).cost, abs=1e-9)


def test_so_many_draws_may_break_a_rule_for_the_bound_to_stay_below():
    assert allowed(0.01, 10_000) == 83
    assert allowed(0.05, 100) == 1
    assert allowed(0.01, 100) == 0


@pytest.mark.slow
def test_the_example_asked_to_be_sure_99_times_in_100_keeps_its_band_in_fresh_draws(oily):
    found = surely(oily, 0.99)
    assert isinstance(found, Sure)
    assert found.verified
    known = replace(what_may_come(oily), correction=found.correction)
    fresh = both_ends(
        oily, found.finding.composition, known, draws=10_000, seed=77, spread=Spread.INDEPENDENT
    )
    shares = {
        one.rule.id: one.share
        for one in tried(oily.brief.rules, *fresh).rules
        if moved_by_lots(one.rule)
    }
    assert shares["acidity"] <= 0.01
    assert max(shares.values()) <= 0.01


def test_a_correction_that_is_no_acid_or_base_is_refused(tmp_path, root, barwright):
    shutil.copytree(root / "examples", tmp_path / "examples")
    bench = tmp_path / "examples/oily-hair"
    brief = bench / "brief.toml"
    text = brief.read_text("utf-8").replace('corrected_by = "citric acid', 'corrected_by = "kaolin')
    brief.write_text(text.replace("kaolin, anhydrous", "kaolin, white"), "utf-8")
    done = barwright("cheapest", str(bench))
    assert done.returncode == 2
    assert "corrected_by" in done.stderr
    assert "acid" in done.stderr


def test_the_correction_of_a_bench_is_priced_as_its_shelf_says(oily):
    added = correction_of(oily, "citric acid, anhydrous", 0.001)
    assert (added.price, added.most) == (5.4, 0.001)


# --- as a maker asks ------------------------------------------------------------------------------


@pytest.fixture
def changed(tmp_path, root):
    """The example with another line on what corrects its pH."""

    def made(text):
        shutil.copytree(root / "examples", tmp_path / "examples")
        brief = tmp_path / "examples/oily-hair/brief.toml"
        old = 'corrected_by = "citric acid, anhydrous"'
        brief.write_text(brief.read_text("utf-8").replace(old, text.format(old=old)), "utf-8")
        return str(brief.parent)

    return made


def test_a_rule_that_always_holds_leans_on_what_corrects_it(barwright, changed):
    bench = changed('{old}\nholds = "always"')
    form = json.loads(barwright("cheapest", bench, "--no-proof", "--format", "json").stdout)
    assert form["status"] == "optimal"
    assert form["sureness"]["correction"]["material"] == "citric acid, anhydrous"
    assert form["sureness"]["correction"]["most"] > 0.0
    assert form["sureness"]["cost_of_safety"] > 0.0
    broken = {one["rule"]: one["broken"] for one in form["sureness"]["tried"]["rules"]}
    assert broken["acidity"] == 0


@pytest.mark.parametrize("command", ["check", "compare"])
def test_what_counts_nothing_added_at_the_bench_says_so(command, barwright, changed):
    bench = changed('{old}\nholds = "always"')
    formulas = [f"{bench}/formulas/{one}.toml" for one in ("today", "rosemary")]
    words = {"check": (bench, formulas[0]), "compare": formulas}
    said = " ".join(barwright(command, *words[command]).stderr.split())
    assert 'beside corrected_by = "citric acid, anhydrous"' in said
    assert "`barwright cheapest` alone counts what is added at the bench" in said


def test_nothing_is_left_uncounted_where_no_rule_always_holds(oily):
    assert uncounted(oily.brief) == ()
    assert len(uncounted(holding(oily, Uncertainty()).brief)) == 1


def test_what_would_free_a_demand_for_safety_is_in_the_document_too(barwright, changed):
    bench = changed("")
    done = barwright("cheapest", bench, "--sure", "always", "--format", "json")
    assert done.returncode == 3
    form = json.loads(done.stdout)
    assert form["status"] == "infeasible"
    assert all(name in done.stderr.replace("\n", " ") for name in form["freeing"]["materials"])


def test_where_time_runs_out_typical_lots_are_not_said_to_keep_no_rules(barwright):
    done = barwright("cheapest", "examples/oily-hair", "--sure", "99%", "--time-limit", "0.3")
    assert done.returncode == 5
    said = " ".join((done.stdout + done.stderr).split())
    assert "no composition keeps the rules" not in said
    assert "not settled" in said


def test_what_safety_costs_and_readings_save_is_told_for_a_year_too(barwright):
    words = ("cheapest", "examples/oily-hair", "--no-proof", "--sure", "always")
    done = barwright(*words, "--output", "50 kg/week", "--format", "json")
    form = json.loads(done.stdout)["sureness"]
    assert form["output"] == pytest.approx(2600.0)
    for one in form["worth_knowing"]:
        assert one["saves_a_year"] == pytest.approx(2600.0 * one["saves"])


@pytest.mark.parametrize("said", ["200 kg", "200 kg/day", "0 kg/year", "much/month"])
def test_an_output_that_is_none_is_refused(said, barwright):
    done = barwright("cheapest", "examples/oily-hair", "--sure", "always", "--output", said)
    assert done.returncode == 2
    assert "200 kg/month" in done.stderr


def test_an_output_without_a_demand_for_safety_is_refused(barwright):
    done = barwright("cheapest", "examples/oily-hair", "--output", "200 kg/month")
    assert done.returncode == 2
    assert "--sure" in done.stderr


def test_what_contents_alone_save_is_what_a_shelf_with_that_certificate_saves():
    spans = {"A": (0.5, 0.6, 0.7), "B": (0.3, 0.4, 0.5)}
    shelf = [material("one", spans), material("two", {"A": 0.2, "B": 0.8})]
    asked = bench(shelf, [6.0, 3.0], [share_of("A", 0.45)])
    sure = surely(asked, draws=100)
    first = worth_of_knowing(asked, sure)[0]
    typical = material("one", {name: span[1] for name, span in spans.items()})
    certified = surely(bench([typical, shelf[1]], [6.0, 3.0], [share_of("A", 0.45)]), draws=100)
    assert first.material == "one"
    assert first.by_contents == pytest.approx(sure.finding.cost - certified.finding.cost, abs=1e-9)
    assert first.by_contents == pytest.approx(first.saves)
    assert what_of(first) == "its contents, by the lot's certificate"


def test_what_is_known_of_contents_leaves_the_alkalinity_open(oily):
    name = "sodium cocoyl isethionate, powder"
    item = oily.item(name)
    base = item.material.alkalinity
    found = Uncertainty(certified=frozenset({name})).of(item.material, item.price, base)
    assert all(span.low == span.high for span in found.contents)
    assert found.alkalinity.high == pytest.approx(base.high)
    assert found.alkalinity.low == pytest.approx(base.low)


def test_which_jar_to_measure_says_what_of_it():
    def said_of(saves, by_contents):
        return what_of(Worth("jar", saves, 0.3, by_contents))

    assert said_of(0.03, 0.0) == "its pH in water"
    assert said_of(0.03, 0.015).endswith("and its pH in water")
    assert said_of(0.0, 0.0) == "its pH in water"


def test_prices_that_may_move_are_held_by_a_cap_on_cost_and_proved(barwright, tmp_path):
    words = ("--sure", "always", "--prices", "all=27%", "--format", "json")
    done = barwright("cheapest", "examples/oily-hair", *words)
    assert done.returncode == 0, done.stderr
    form = json.loads(done.stdout)
    assert form["cost"] * 1.27 <= 10.80 + 1e-6
    assert form["proof"]["held_for"]["prices"]["kaolin, white"] == 0.27
    file = tmp_path / "proof.json"
    file.write_text(done.stdout, "utf-8")
    assert barwright("verify", str(file), "--bench", "examples/oily-hair").returncode == 0


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (("--prices", "all=20%"), "no --sure"),
        (("--sure", "99%", "--prices", "all=200%"), "NAME=20%"),
        (("--sure", "99%", "--prices", "chalk=20%"), "a material on the shelf"),
    ],
)
def test_prices_that_cannot_be_understood_are_refused(words, expected, barwright):
    done = barwright("cheapest", "examples/oily-hair", *words)
    assert done.returncode == 2
    assert expected in done.stderr
