"""Readings of bars cut the set of lots: against other formulations put to another solver."""

import json
import random
from dataclasses import replace
from itertools import combinations

import numpy as np
import pyscipopt
import pytest
from barwright import cheapest, read_bench
from barwright.constraints.acidity.charge import equilibrium, in_water
from barwright.constraints.acidity.cuts import Taken
from barwright.constraints.acidity.lots import predict_lots
from barwright.constraints.model.book import BatchMade, State, WeighedIn
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.shelf import Lot
from barwright.constraints.model.uncertainty import Cut, Uncertainty
from barwright.constraints.rules.acidity import band_of
from barwright.constraints.rules.extreme import extreme
from barwright.constraints.rules.judging import mix_of
from barwright.constraints.values.problem import Problems
from barwright.solver.cheapest.cheapest import Finding, Refusal
from barwright.solver.program.deadline import NEVER
from barwright.solver.proof.proof import prove
from barwright.solver.proof.proved import ProvedOptimal
from barwright.solver.uncertain.demand import demanded
from barwright.solver.uncertain.draws import drawn
from barwright.solver.uncertain.informing import Informed, informed
from barwright.solver.uncertain.sure import NotSure, Sure, surely, what_may_come
from barwright.solver.uncertain.tied import with_cuts
from barwright.solver.uncertain.tuning import leant_on
from barwright.workshop.book.readings import readings_of_book
from blends import bench, material, share_of

INCI = ("A", "B", "C")


def tied_bench(seed, count=3):
    """Materials of three contents, two rules on shares, and two readings that tie them all."""
    draw = random.Random(seed)
    shelf = [_material(draw, f"m{number}") for number in range(count)]
    rules = [
        share_of("A", low=round(draw.uniform(0.2, 0.3), 3), rule_id="A"),
        share_of("B", high=round(draw.uniform(0.28, 0.4), 3), rule_id="B"),
    ]
    read = bench(shelf, [round(draw.uniform(1, 20), 2) for _ in shelf], rules)
    cuts = [
        _cut(draw, shelf, "rich in A", (0.5, 1.0), (-0.2, 0.2)),
        _cut(draw, shelf, "poor in B", (-0.2, 0.2), (-1.0, -0.5)),
    ]
    return read, with_cuts(Uncertainty(), {one.name: one for one in shelf}, cuts)


def _material(draw, name):
    a, b, apart = draw.uniform(0.15, 0.45), draw.uniform(0.15, 0.4), draw.uniform(0.03, 0.1)
    middles = {"A": a, "B": b, "C": 1.0 - a - b}
    return material(name, {inci: (mid - apart, mid, mid + apart) for inci, mid in middles.items()})


def _cut(draw, shelf, name, a, b):
    """A sum over all lots that is at most a little less than typical ones give."""
    ends = (a, b, (-0.2, 0.2))
    weights = {one.name: (*(draw.uniform(*end) for end in ends), 0.0) for one in shelf}
    there = sum(
        weight * span.typical
        for one in shelf
        for weight, span in zip(weights[one.name], one.contents.values(), strict=False)
    )
    return Cut(name, weights, there - 0.002)


def answered(read, within):
    """The cheapest for every lot that the readings leave."""
    leant = leant_on(read, within, dict.fromkeys(("A", "B"), 1.0), NEVER)
    return cheapest(demanded(read, leant.known, dict.fromkeys(("A", "B"), 1.0)))


def dualised(read, within):
    """The robust optimum with each inner minimum replaced by its dual, by SCIP, or ``None``."""
    model = pyscipopt.Model()
    model.hideOutput()
    model.setParam("numerics/feastol", 1e-10)
    model.setParam("numerics/dualfeastol", 1e-10)
    x = [model.addVar(lb=0.0, obj=price) for price in read.prices]
    model.addCons(pyscipopt.quicksum(x) == 1.0)
    for rule, place, sense in zip(read.brief.rules, (0, 1), (1.0, -1.0), strict=True):
        limit = rule.low if sense > 0 else -rule.high
        y = [model.addVar(lb=0.0) for _ in within.cuts]
        bound = pyscipopt.quicksum(cut.least * one for cut, one in zip(within.cuts, y, strict=True))
        for item, share in zip(read.shelf, x, strict=True):
            whole = model.addVar(lb=None)
            bound += whole  # contents add to one
            for at, span in enumerate(item.material.contents.values()):
                up, down = model.addVar(lb=0.0), model.addVar(lb=0.0)
                bound += span.low * up - span.high * down
                tied = pyscipopt.quicksum(
                    cut.weights[item.material.name][at] * one
                    for cut, one in zip(within.cuts, y, strict=True)
                )
                model.addCons(whole + tied + up - down == share * (sense if at == place else 0.0))
        model.addCons(bound >= limit)
    model.optimize()
    return model.getObjVal() if model.getStatus() == "optimal" else None


@pytest.mark.reference
@pytest.mark.parametrize("seed", range(12))
def test_what_readings_leave_costs_what_the_dualised_program_says(seed):
    """Lots gathered one by one, against linear programming duality by SCIP."""
    read, within = tied_bench(seed)
    found, expected = answered(read, within), dualised(read, within)
    if expected is None:
        assert isinstance(found, Refusal)
    else:
        assert found.cost == pytest.approx(expected, abs=1e-9)
        assert isinstance(prove(*found.fixed), ProvedOptimal)


def test_readings_bite_in_some_of_these_benches_and_some_cannot_be_kept():
    bites, kinds = 0, set()
    for seed in range(12):
        read, within = tied_bench(seed)
        tied, loose = answered(read, within), answered(read, Uncertainty())
        kinds.add(type(tied))
        if isinstance(tied, Finding):
            bites += isinstance(loose, Refusal) or tied.cost < loose.cost - 1e-4
    assert kinds == {Finding, Refusal}
    assert bites >= 3


def vertices(read, within):
    """Every corner of the set of all lots together, by solving for each set of tight sides."""
    spans = [span for item in read.shelf for span in item.material.contents.values()]
    count, per = len(spans), len(INCI)
    sums = [[float(column // per == lot) for column in range(count)] for lot in range(count // per)]
    sides = [(np.eye(count)[at], span.low) for at, span in enumerate(spans)]
    sides += [(-np.eye(count)[at], -span.high) for at, span in enumerate(spans)]
    for cut in within.cuts:
        flat = [w for item in read.shelf for w in cut.weights[item.material.name][:per]]
        sides.append((np.array(flat), cut.least))
    found = []
    for tight in combinations(range(len(sides)), count - len(sums)):
        left = np.array([*sums, *(sides[one][0] for one in tight)])
        if abs(np.linalg.det(left)) > 1e-9:
            point = np.linalg.solve(left, [1.0] * len(sums) + [sides[one][1] for one in tight])
            if all(row @ point >= least - 1e-9 for row, least in sides):
                found.append(point)
    return found


@pytest.mark.reference
@pytest.mark.parametrize("seed", range(6))
def test_what_readings_leave_costs_what_all_corners_of_the_set_allow(seed):
    """Against a row for every vertex of the set, by SCIP."""
    read, within = tied_bench(seed, count=2)
    model = pyscipopt.Model()
    model.hideOutput()
    model.setParam("numerics/feastol", 1e-10)
    x = [model.addVar(lb=0.0, obj=price) for price in read.prices]
    model.addCons(pyscipopt.quicksum(x) == 1.0)
    a, b = read.brief.rules
    for point in vertices(read, within):
        model.addCons(pyscipopt.quicksum(point[3 * j] * x[j] for j in range(2)) >= a.low)
        model.addCons(pyscipopt.quicksum(point[3 * j + 1] * x[j] for j in range(2)) <= b.high)
    model.optimize()
    found = answered(read, within)
    if model.getStatus() == "optimal":
        assert found.cost == pytest.approx(model.getObjVal(), abs=1e-9)
    else:
        assert isinstance(found, Refusal)


@pytest.fixture(scope="module")
def oily(root):
    return read_bench(root / "examples/oily-hair")


def taken(read, composition, ph, within=0.05, name="the bar of Monday"):
    """A reading of a bar, a tenth of it in water."""
    parts = {one: 0.1 * share for one, share in composition.parts.items()}
    known = {one: read.material(one) for one in parts}
    return Taken(name, parts, known, (), 0.9, (ph - within, ph + within), ph)


@pytest.fixture(scope="module")
def made(oily):
    return cheapest(oily).composition


@pytest.fixture(scope="module")
def known(oily, made):
    return informed(oily, [taken(oily, made, 5.4)], what_may_come(oily))


def test_a_bar_that_was_measured_narrows_its_own_range(oily, made, known):
    band = band_of(oily.brief)
    mix = mix_of(known.bench, made)
    before = [extreme(band, mix_of(oily, made), Uncertainty(), one)[0] for one in (1.0, -1.0)]
    after = [extreme(band, mix, known.within, one)[0] for one in (1.0, -1.0)]
    assert before[0] < 4.9
    assert before[1] > 6.1
    assert 5.3 < after[0] < after[1] < 5.5
    typical, _ = equilibrium(in_water(mix.shares, mix.substances, 0.1))
    assert 5.34 < typical < 5.46


def test_every_lot_drawn_reads_what_was_read(oily, made, known):
    ph, _ = predict_lots(drawn(known.bench, made, known.within, count=1000), 0.1)
    assert len(ph) == 1000
    assert 5.33 < ph.min() < 5.37 < 5.43 < ph.max() < 5.47


def test_a_bar_that_was_measured_is_sure_for_less(oily, made, known):
    loose = surely(oily, draws=500)
    tied = surely(known.bench, within=known.within, draws=500)
    assert isinstance(tied, Sure)
    assert tied.verified
    assert tied.finding.cost < loose.finding.cost - 0.001
    assert tied.correction.most < 0.5 * loose.correction.most


def test_without_a_correction_a_measured_bar_can_be_sure(oily, made):
    assert isinstance(surely(oily, within=Uncertainty(), draws=100), NotSure)
    found = informed(oily, [taken(oily, made, 5.2, 0.02)], Uncertainty())
    assert isinstance(found, Informed)
    assert isinstance(surely(found.bench, within=found.within, draws=500), Sure)


def test_a_lot_that_is_no_longer_there_binds_no_present_one(oily, made):
    """Read of a bar whose surfactant came from another lot: that one may have made the pH."""
    gone = "sodium coco-sulfate, needles"
    one = taken(oily, made, 5.4)
    parts = {f"{name} of the old lot" if name == gone else name: m for name, m in one.parts.items()}
    materials = {
        name: replace(oily.material(name.removesuffix(" of the old lot")), name=name)
        for name in parts
    }
    found = informed(oily, [replace(one, parts=parts, materials=materials)], Uncertainty())
    band, mix = band_of(oily.brief), mix_of(found.bench, made)
    low, high = (extreme(band, mix, found.within, one)[0] for one in (1.0, -1.0))
    assert high - low > 0.2


def test_a_reading_that_no_lots_give_is_named(oily, made):
    found = informed(oily, [taken(oily, made, 9.5)], Uncertainty())
    assert isinstance(found, Problems)
    assert "the bar of Monday" in str(found.items[0].where)


def test_two_readings_that_cannot_both_be_true_are_named(oily, made):
    three = [taken(oily, made, ph, name=f"bar {ph}") for ph in (5.2, 5.25, 5.6)]
    found = informed(oily, three, Uncertainty())
    assert isinstance(found, Problems)
    assert "bar 5.2 and bar 5.6" in str(found.items[0].where)


def test_without_readings_nothing_changes(oily):
    found = informed(oily, [], Uncertainty())
    assert found.bench is oily
    assert not found.within.cuts


def test_a_composition_of_other_materials_is_still_drawn(oily, known):
    only = Composition("x", {"kaolin, white": 0.5, "stearic acid, 50/50 palmitic, pearls": 0.5})
    assert drawn(known.bench, only, known.within, count=50).count == 50


# --- as a maker tells of readings -----------------------------------------------------------------

READ = """schema = 1
of = "the bar as it is made today"
sample = "10 g"
water = "90 g"
date = "2026-11-20"
meter = 0.05
points = [["0 g", {ph}]]
"""


def asked(tmp_path, *phs):
    files = []
    for number, ph in enumerate(phs):
        file = tmp_path / f"bar-{number}.toml"
        file.write_text(READ.format(ph=ph), "utf-8")
        files += ["--readings", str(file)]
    return files


def test_a_reading_of_a_bar_is_told_and_moves_the_cheapest(barwright, tmp_path):
    words = ("cheapest", "examples/oily-hair", "--no-proof", "--format", "json")
    plain = json.loads(barwright(*words).stdout)
    done = barwright(*words, *asked(tmp_path, 5.6))
    assert done.returncode == 0, done.stderr
    form = json.loads(done.stdout)
    assert form["readings"]["taken"] == [f"{tmp_path}/bar-0.toml, reading 1"]
    assert any("needles" in one["material"] for one in form["readings"]["narrowed"])
    assert form["cost"] != plain["cost"]
    assert "readings" not in plain


def test_readings_that_contradict_each_other_are_refused_by_name(barwright, tmp_path):
    done = barwright("cheapest", "examples/oily-hair", *asked(tmp_path, 5.3, 5.8))
    assert done.returncode == 2
    assert "bar-0.toml, reading 1 and" in done.stderr
    assert "cannot all be true" in done.stderr


def test_a_reading_of_a_bar_that_is_not_known_is_refused(barwright, tmp_path):
    file = tmp_path / "bar.toml"
    file.write_text(READ.format(ph=5.3).replace("today", "never"), "utf-8")
    done = barwright("cheapest", "examples/oily-hair", "--readings", str(file))
    assert done.returncode == 2
    assert "the bar as it is made today" in done.stderr


def test_a_batch_binds_the_lots_of_its_materials_that_are_there(oily, made):
    gone = "sodium coco-sulfate, needles"
    shelf = tuple(
        replace(item, lots=(Lot("L2" if item.material.name == gone else "L1", 1.0),))
        for item in oily.shelf
    )
    read = replace(oily, shelf=shelf)
    batch = BatchMade(
        "2026-11-20-01", "oily-hair", "x", "2026-11-20", State.CLOSED, 12, 12,
        tuple(WeighedIn(name, "L1", share) for name, share in made.parts.items()), (5.35, 5.45),
    )  # fmt: skip
    (found,) = readings_of_book([batch], read, "oily-hair")
    assert f"{gone}, L1" in found.parts
    assert gone not in found.parts
    assert found.ph == pytest.approx((5.3, 5.5))
    assert found.water == pytest.approx(0.9 * 10 * found.mass)
    assert isinstance(informed(read, [found], Uncertainty()), Informed)


@pytest.mark.parametrize(
    "change",
    [{"state": State.OPEN}, {"ph": ()}, {"bench": "dry-hair"}, {"weighed": ()}],
)
def test_a_batch_that_says_nothing_of_present_lots_binds_none(oily, made, change):
    shelf = tuple(replace(item, lots=(Lot("L1", 1.0),)) for item in oily.shelf)
    batch = BatchMade(
        "2026-11-20-01", "oily-hair", "x", "2026-11-20", State.CLOSED, 12, 12,
        tuple(WeighedIn(name, "L1", share) for name, share in made.parts.items()), (5.4,),
    )  # fmt: skip
    there = replace(oily, shelf=shelf)
    assert len(readings_of_book([batch], there, "oily-hair")) == 1
    assert readings_of_book([replace(batch, **change)], there, "oily-hair") == ()
    assert readings_of_book([batch], oily, "oily-hair") == ()


def test_a_reading_of_a_bar_narrows_what_a_check_of_it_says(barwright, tmp_path):
    words = ("check", "examples/oily-hair", "examples/oily-hair/formulas/today.toml", "--format")
    plain = json.loads(barwright(*words, "json").stdout)
    done = barwright(*words, "json", *asked(tmp_path, 5.3))
    assert done.returncode == 0, done.stderr
    form = json.loads(done.stdout)
    assert form["readings"]["taken"] == [f"{tmp_path}/bar-0.toml, reading 1"]
    assert form["prediction"]["ph"] == pytest.approx(5.3, abs=0.05)
    assert form["lots"]["broken"]["at_most"] < plain["lots"]["broken"]["at_least"]
    assert "readings" not in plain
    short = barwright(*words[:-1], *asked(tmp_path, 5.3)).stdout
    assert "A reading of a bar counts" in short
