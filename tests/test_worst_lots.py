"""Rules that hold for every lot, against the vertices of the set put to another solver."""

import random
from itertools import product

import numpy as np
import pyscipopt
import pytest
from barwright import cheapest, judge, read_bench
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.frame import Same, frame_of, with_lots
from barwright.constraints.model.lots import Lots
from barwright.constraints.model.rule import Counted, Kind, Pick, Selector
from barwright.constraints.model.uncertainty import Uncertainty
from barwright.constraints.rules.bending import all_of, values_of
from barwright.constraints.rules.cost import Cost
from barwright.constraints.rules.extreme import extreme
from barwright.constraints.rules.holding import holding, place_held, rows_held
from barwright.constraints.rules.judging import mix_of
from barwright.constraints.rules.mean import Mean
from barwright.constraints.rules.ratio import Ratio
from barwright.solver.cheapest.cheapest import Finding, Refusal
from barwright.solver.proof.proof import prove
from barwright.solver.proof.proved import ProvedOptimal
from barwright.solver.uncertain.draws import drawn
from blends import bench, material, said, share_of

ACTIVE = Counted.ACTIVE
CLASSES = {"A": ("one",), "B": ("two",), "Water": ()}


def random_bench(seed):
    draw = random.Random(seed)
    shelf = [_material(draw, f"m{number}") for number in range(4)]
    one, two = (Selector(Pick.CLASS, name, ACTIVE) for name in ("one", "two"))
    rules = [
        share_of("A", low=round(draw.uniform(0.1, 0.35), 3), high=0.6, rule_id="A"),
        Ratio(
            **said("ratio", unit=""), low=round(draw.uniform(0.3, 0.8), 2), high=5.0, of=one, to=two
        ),
        Mean(
            **said("water"), low=None, high=round(draw.uniform(0.3, 0.5), 3), of="water", values={}
        ),
    ]
    return bench(shelf, [round(draw.uniform(1, 20), 2) for _ in shelf], rules, CLASSES)


def _material(draw, name):
    a, b = draw.uniform(0.1, 0.5), draw.uniform(0.1, 0.4)
    apart = draw.uniform(0.02, 0.1)
    middles = {"A": a, "B": b, "Water": 1.0 - a - b}
    return material(
        name, {inci: (max(mid - apart, 0.0), mid, mid + apart) for inci, mid in middles.items()}
    )


def vertices(spans):
    """Every corner of a box cut by "adds to one": all but one content at an end of its range."""
    found = []
    for free in range(len(spans)):
        others = [one for place, one in enumerate(spans) if place != free]
        for ends in product(*((one.low, one.high) for one in others)):
            rest = sum(one.typical for one in spans) - sum(ends)
            if spans[free].low - 1e-12 <= rest <= spans[free].high + 1e-12:
                found.append((*ends[:free], rest, *ends[free:]))
    return found


def least_over_scenarios(of):
    """The robust optimum with a row for every corner of the set, by SCIP, or ``None``."""
    model = pyscipopt.Model()
    model.hideOutput()
    model.setParam("numerics/feastol", 1e-10)
    model.setParam("numerics/dualfeastol", 1e-10)
    x = [model.addVar(lb=0.0, obj=price) for price in of.prices]
    model.addCons(pyscipopt.quicksum(x) == 1.0)
    share, ratio, water = of.brief.rules
    for corner in product(*(vertices(list(i.material.contents.values())) for i in of.shelf)):
        a, b, wet = (
            pyscipopt.quicksum(lot[place] * v for lot, v in zip(corner, x, strict=True))
            for place in range(3)
        )
        model.addCons(a >= share.low)
        model.addCons(a <= share.high)
        model.addCons(a - ratio.low * b >= 0)
        model.addCons(a - ratio.high * b <= 0)
        model.addCons(wet <= water.high)
    model.optimize()
    return model.getObjVal() if model.getStatus() == "optimal" else None


@pytest.mark.reference
@pytest.mark.parametrize("seed", range(12))
def test_the_cheapest_for_every_lot_costs_what_all_corners_of_the_set_allow(seed):
    """Worst lots row by row, against all corners at once by SCIP, which shares nothing."""
    plain = random_bench(seed)
    found = cheapest(holding(plain, Uncertainty()))
    expected = least_over_scenarios(plain)
    if expected is None:
        assert isinstance(found, Refusal)
    else:
        assert isinstance(found, Finding)
        assert found.cost == pytest.approx(expected, abs=1e-9)
        assert isinstance(prove(*found.fixed), ProvedOptimal)


def test_some_of_these_benches_can_be_kept_for_every_lot_and_some_cannot():
    found = [cheapest(holding(random_bench(seed), Uncertainty())) for seed in range(12)]
    assert {type(one) for one in found} == {Finding, Refusal}


@pytest.mark.parametrize("seed", range(6))
def test_the_furthest_value_over_the_set_is_that_of_its_furthest_corner(seed):
    read = random_bench(seed)
    composition = Composition(
        "x", dict(zip(read.material_names, (0.4, 0.3, 0.2, 0.1), strict=True))
    )
    mix = mix_of(read, composition)
    corners = list(product(*(vertices(list(one.contents.values())) for one, _, _ in mix.parts)))
    lots = Lots(
        mix=mix,
        contents=tuple(np.array([corner[j] for corner in corners]) for j in range(4)),
        alkalinity=np.zeros((len(corners), 4)),
        prices=np.tile(np.array(read.prices), (len(corners), 1)),
    )
    for rule in read.brief.rules:
        values = rule.value_in(lots)
        assert extreme(rule, mix, Uncertainty(), 1.0)[0] == pytest.approx(values.min(), abs=1e-9)
        assert extreme(rule, mix, Uncertainty(), -1.0)[0] == pytest.approx(values.max(), abs=1e-9)


@pytest.mark.parametrize("name", ["oily-hair", "dry-hair"])
def test_no_lot_drawn_lies_beyond_the_extremes(name, root):
    read = read_bench(root / "examples" / name)
    composition = cheapest(read).composition
    mix, lots = mix_of(read, composition), drawn(read, composition, count=2000)
    for rule in read.brief.rules:
        if not rule.varies or rule.judged(mix).value is None:
            continue
        low, high = (extreme(rule, mix, Uncertainty(), sense)[0] for sense in (1.0, -1.0))
        values = rule.value_in(lots)
        assert low - 1e-9 <= values.min(), rule.id
        assert values.max() <= high + 1e-9, rule.id


def test_the_rows_for_every_lot_are_those_of_typical_lots_where_nothing_is_uncertain(root):
    read = read_bench(root / "examples/oily-hair")
    sure = holding(read, Uncertainty(scale=0.0))
    frame = frame_of(read)
    for plain, held in zip(read.brief.rules, sure.brief.rules, strict=True):
        rows = plain.rows(frame, 0.1)
        found = rows_held(held, frame, 0.1)
        for row in rows:
            same = [one for one in found if one.part == row.part]
            assert same, plain.id
            for one in same:
                assert one.columns == row.columns
                assert one.values == pytest.approx(row.values, abs=1e-12)


def test_a_limit_is_the_side_of_the_row_that_it_is_said_to_be(root):
    read = read_bench(root / "examples/oily-hair")
    frame = frame_of(read)
    for rule in holding(read, Uncertainty(scale=0.3)).brief.rules:
        for side, limit in (rule.limits() if hasattr(rule, "low") else {}).items():
            place = place_held(rule, side)
            if place is not None and rule.within is not None:
                row = rows_held(rule, frame, 0.1)[place]
                assert (row.low if side == "low" else row.high) == limit


def test_a_law_counts_as_it_counts(root):
    read = read_bench(root / "examples/oily-hair")
    sure = holding(read, Uncertainty())
    assert all(rule.within is None for rule in sure.brief.rules if rule.kind is Kind.LAW)
    assert any(rule.within is not None for rule in sure.brief.rules)


def test_a_verdict_for_every_lot_has_the_room_of_the_worst():
    stuff = material("stuff", {"A": (0.2, 0.5, 0.7), "B": (0.3, 0.5, 0.8)})
    rule = share_of("A", low=0.1, high=0.75)
    held = holding(bench([stuff], [1.0], [rule]), Uncertainty())
    (verdict,) = judge(held, Composition("x", {"stuff": 1.0}))
    assert verdict.value == 0.5
    assert verdict.room_low == pytest.approx(0.1)
    assert verdict.room_high == pytest.approx(0.05)
    assert verdict.kept


def test_a_rule_that_some_lot_breaks_is_broken():
    stuff = material("stuff", {"A": (0.2, 0.5, 0.7), "B": (0.3, 0.5, 0.8)})
    held = holding(bench([stuff], [1.0], [share_of("A", low=0.21)]), Uncertainty())
    (verdict,) = judge(held, Composition("x", {"stuff": 1.0}))
    assert not verdict.kept
    assert verdict.room_low == pytest.approx(-0.01)


def test_prices_that_may_rise_count_at_their_highest_against_a_cap():
    stuff = material("stuff", {"A": 1.0})
    cap = Cost(**said("cost", unit="EUR/kg"), low=None, high=10.5)
    plain = bench([stuff], [10.0], [cap])
    assert isinstance(cheapest(holding(plain, Uncertainty(prices={"stuff": 0.04}))), Finding)
    assert isinstance(cheapest(holding(plain, Uncertainty(prices={"stuff": 0.06}))), Refusal)


@pytest.mark.parametrize("strength", [0.0, 0.08, 0.4])
def test_what_a_kind_of_rule_tells_of_other_lots_is_what_its_rows_are_of_them(strength, root):
    read, draw = read_bench(root / "examples/oily-hair"), random.Random(1)
    frame = frame_of(read)
    lots = [
        one.lot([draw.uniform(0, 1) for _ in one.contents], draw.uniform(-1, 1))
        for one in all_of(Same(frame))
    ]
    other = with_lots(frame, tuple(lots), frame.prices)
    asked = 0
    for rule in (one for one in read.brief.rules if hasattr(one, "bends")):
        told = rule.bends(frame, strength)
        if told is None:
            continue
        known = with_lots(frame, tuple(one.lot(*figures(one)) for one in all_of(Same(frame))), ())
        for place, row in enumerate(rule.rows(other, strength)):
            values = values_of(rule.rows(known, strength)[place])
            for column, (alkaline, _, *contents) in told.slopes[place].items():
                there, here = lots[column], known.materials[column]
                found = values.get(column, 0.0) + alkaline * (
                    there.alkalinity.typical - here.alkalinity.typical
                )
                for inci, slope in zip(there.contents, contents, strict=True):
                    apart = there.contents[inci].typical - here.contents[inci].typical
                    found += slope * apart
                values[column] = found
            laid = told.relaid(place, values)
            assert (laid.rule, laid.part, laid.columns) == (row.rule, row.part, row.columns)
            assert laid.values == pytest.approx(row.values, abs=1e-12)
            assert (laid.low, laid.high) == pytest.approx((row.low, row.high), abs=1e-12)
            asked += 1
    assert asked == 4


def figures(one):
    return [span.typical for span in one.contents], one.alkalinity.typical
