"""Every kind of rule answers every question: read, row, judge, move, price, curve, way out, weigh.

The kinds are those of the registry and one from outside, so that a kind that is added is asked all
of this too, and a question that forgets a kind fails here.
"""

import json
from dataclasses import replace
from math import inf, isfinite, nan
from random import Random

import pytest
import spending
from barwright.cli.kit.app import run
from barwright.constraints.bench.reading import read_bench
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.frame import frame_of
from barwright.constraints.model.rule import Concedes, Limited
from barwright.constraints.model.uncertainty import Uncertainty
from barwright.constraints.rules.holding import holding
from barwright.constraints.rules.judging import judge
from barwright.constraints.rules.prices import priced_rows
from barwright.constraints.rules.registry import kinds, register
from barwright.constraints.rules.rows import rows_of
from barwright.solver.cheapest.cheapest import Finding, Refusal, cheapest
from barwright.solver.infeasible.reasons import reasons
from barwright.solver.prices.course import Course, over_grid, over_limit, over_price
from barwright.solver.prices.worth import row_of
from barwright.solver.program.fixed_point import ionic_strength
from barwright.solver.uncertain.draws import drawn
from barwright.workshop.weighing.weighing import weigh
from barwright.workshop.weighing.weight import Weighed

SPENDING = """
[rules."wax money"]
spend_on = "wax"
most = "0.30 EUR/kg"
kind = "house"
because = "waxes are dear this year"
"""


@pytest.fixture(scope="module", autouse=True)
def with_a_kind_from_outside():
    with spending.known():
        yield


@pytest.fixture(scope="module")
def folder(root, tmp_path_factory):
    there = tmp_path_factory.mktemp("kinds")
    here = root / "tests" / "data" / "benches" / "kinds"
    (there / "shelf.csv").write_bytes((here / "shelf.csv").read_bytes())
    text = (here / "brief.toml").read_text(encoding="utf-8") + SPENDING
    (there / "brief.toml").write_text(text, encoding="utf-8")
    return there


@pytest.fixture(scope="module")
def bench(folder):
    return read_bench(folder)


@pytest.fixture(scope="module")
def finding(bench):
    return cheapest(bench)


def rules(bench):
    return bench.brief.rules


def limits(bench):
    return [
        (rule, side) for rule in rules(bench) if isinstance(rule, Limited) for side in rule.limits()
    ]


def with_rule(bench, rule):
    changed = tuple(rule if one.id == rule.id else one for one in rules(bench))
    return replace(bench, brief=replace(bench.brief, rules=changed))


def draws(bench, count=40, seed=5):
    """Compositions at random, some materials left out."""
    random = Random(seed)
    names = [item.material.name for item in bench.shelf]
    for _ in range(count):
        used = random.sample(names, random.randint(2, len(names)))
        weights = [random.random() ** 3 for _ in used]
        parts = {name: w / sum(weights) for name, w in zip(used, weights, strict=True)}
        yield Composition("drawn", parts)


def test_the_bench_holds_every_kind_that_can_be_read(bench):
    there = {type(rule) for rule in rules(bench)}
    assert {rule for written in kinds() for rule in written.rules} <= there


def test_a_key_belongs_to_one_kind():
    with pytest.raises(ValueError, match="spend_on is known already"):
        register(spending.WRITTEN)


def test_rows_and_judge_agree_on_compositions_drawn_at_random(bench):
    """A rule is kept when its rows hold at the composition's own ionic strength and choices."""
    told = set()
    for composition in draws(bench):
        rows = rows_of(bench, ionic_strength(bench, composition))
        x = [composition.parts.get(name, 0.0) for name in rows.materials]
        x += [float(name in composition.parts) for name in rows.choices]
        for verdict in judge(bench, composition):
            room = min((least_room(row, x) for _, row in rows.of(verdict.rule.id)), default=inf)
            if abs(room) > 1e-4 or verdict.rule.whole:
                assert verdict.kept is (room >= 0), (verdict, room)
                told.add((type(verdict.rule), verdict.kept))
    for written in kinds():
        for kind in written.rules:
            assert {(kind, True), (kind, False)} <= told, f"{kind.__name__} was never told apart"


def least_room(row, x):
    """Room on the nearer side of a row, divided by its largest coefficient."""
    value = sum(v * x[c] for c, v in zip(row.columns, row.values, strict=True))
    return min(value - row.low, row.high - value) / max(map(abs, row.values), default=1.0)


def test_prices_stand_only_in_rules_that_say_so_and_rows_are_straight_in_them(bench):
    frame = frame_of(bench)
    dear = [replace(frame, prices=(*frame.prices[:2], p, *frame.prices[3:])) for p in (1, 2, 3)]
    for rule in rules(bench):
        one, two, three = ([row.values for row in rule.rows(at, 0.1)] for at in dear)
        assert rule.priced or one == two == three
        for first, second, third in zip(one, two, three, strict=True):
            if len(first) == len(second) == len(third):
                middle = [(a + c) / 2 for a, c in zip(first, third, strict=True)]
                assert second == pytest.approx(middle)


def test_ionic_strength_stands_only_in_rules_that_say_so(bench):
    frame = frame_of(bench)
    for rule in rules(bench):
        alike = rule.rows(frame, 0.0) == rule.rows(frame, 0.3)
        assert alike is not rule.dispersed


def test_a_step_goes_somewhere_and_stays_in_reach(bench):
    for rule, side in limits(bench):
        low, high = rule.reach()
        assert low <= rule.standing(side) <= high
        assert rule.step(side) > 0
        start, end = rule.around(side)
        assert start <= rule.standing(side) <= end
        assert rule.moved(side, 0.123).limit(side) == 0.123


def test_a_limit_that_is_a_plain_figure_moves_one_side_of_one_row_and_nothing_else(bench):
    frame = frame_of(bench)
    used = [0.1] * len(frame.materials) + [1.0] * len(frame.choices)
    for rule, side in limits(bench):
        place = rule.place(side)
        before = rule.rows(frame, 0.1)
        after = rule.moved(side, rule.standing(side) + 0.01).rows(frame, 0.1)
        assert len(before) == len(after)
        if place is None:
            continue
        for number, (one, other) in enumerate(zip(before, after, strict=True)):
            moved = slack(other, used, side) - slack(one, used, side)
            wanted = (-0.01 if side == "low" else 0.01) if number == place else 0.0
            assert moved == pytest.approx(wanted, abs=1e-12) or not isfinite(moved)


def slack(row, x, side):
    value = sum(v * x[c] for c, v in zip(row.columns, row.values, strict=True))
    return value - row.low if side == "low" else row.high - value


def test_loosening_never_costs_more_and_tightening_never_less(bench, finding):
    assert isinstance(finding, Finding)
    for rule, side in limits(bench):
        step = rule.step(side) * (1 if side == "high" else -1)
        looser = cheapest(with_rule(bench, rule.moved(side, rule.standing(side) + step)))
        tighter = cheapest(with_rule(bench, rule.moved(side, rule.standing(side) - step)))
        assert isinstance(looser, Finding), rule
        assert looser.cost <= finding.cost + 1e-7
        assert not isinstance(tighter, Finding) or tighter.cost >= finding.cost - 1e-7


def test_the_price_of_a_step_is_what_the_moved_bench_costs(bench, finding):
    priced = {(price.rule, price.side): price for price in finding.prices}
    assert len(priced) >= 5
    for rule, side in limits(bench):
        if (price := priced.get((rule.id, side))) is None or price.looser is None:
            continue
        out = price.step if side == "high" else -price.step
        moved = cheapest(with_rule(bench, rule.moved(side, rule.standing(side) + out)))
        # with the choice held a step saves no more than with the choice free
        assert price.looser <= finding.cost - moved.cost + 1e-6


def test_a_curve_over_any_limit_passes_through_what_a_moved_bench_costs(bench, finding):
    for rule, side in limits(bench):
        start, end = rule.around(side)
        if row_of(finding, rule, side) is not None and rule.dosed is None:
            course = over_limit(bench, finding, rule, side, (start, end))
        else:
            course = over_grid(bench, finding, rule, side, (start, end))
        assert isinstance(course, Course)
        for at, cost in course.points[:2]:
            moved = cheapest(with_rule(bench, rule.moved(side, at)))
            assert isinstance(moved, Finding)
            assert moved.cost <= cost + 1e-5


def test_a_curve_over_a_price_ends_where_a_rule_on_prices_ends_it(bench, finding):
    """Stearic acid is the only wax in it: its money runs out, and cetyl alcohol takes over."""
    name = "stearic acid, 50/50 palmitic, pearls"
    course = over_price(bench, finding, name, (1.0, 21.0))
    assert isinstance(course, Course)
    for at, cost in course.points:
        item = replace(bench.item(name), price=at)
        shelf = tuple(item if one.material.name == name else one for one in bench.shelf)
        found = cheapest(replace(bench, shelf=shelf))
        assert isinstance(found, Finding)
        assert found.cost == pytest.approx(cost, abs=1e-5)


IMPOSSIBLE = {
    "surfactant": ("low", 0.97),
    "wax to oil": ("low", 60.0),
    "oil": ("low", 0.9),
    "benzoate as acid": ("low", 0.5),
    "hardness": ("low", 1.2),
    "density": ("low", 1.39999),
    "cost": ("high", 3.0),
    "acidity": ("low", 12.0),
    "wax money": ("high", 0.01),
}
"""Limits that no mix of the shelf meets beside the other rules, by rule."""


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_a_limit_that_cannot_be_met_is_named_and_its_way_out_keeps_every_rule(bench, name):
    side, limit = IMPOSSIBLE[name]
    (rule,) = (one for one in rules(bench) if one.id == name)
    hard = with_rule(bench, rule.moved("high", None).moved(side, limit))
    refusal = cheapest(hard)
    assert isinstance(refusal, Refusal)
    why = reasons(hard, refusal, ())
    assert any(name in clash.rules for clash in why.clashes.found)
    moved = [way for way in why.concessions if name in {one.rule for one in way.moved}]
    assert moved, "the rule in the way is no way out"
    for way in why.concessions:
        given = {(one.rule, one.side): one.new for one in way.moved}
        left = tuple(
            one.moved(s, given[one.id, s]) if (one.id, s) in given else one
            for one in rules(hard)
            if one.id not in way.dropped
            for s in [next((s for r, s in given if r == one.id), "low")]
        )
        eased = replace(hard, brief=replace(hard.brief, rules=left))
        assert all(verdict.kept for verdict in judge(eased, way.composition))


def test_what_may_give_way_says_how_and_a_law_never_does(bench):
    from barwright.constraints.model.rule import Kind

    for rule in rules(bench):
        assert rule.concedes() in Concedes
        assert replace(rule, kind=Kind.LAW).concedes() is Concedes.NEVER


def test_a_purchase_is_worth_what_every_rule_on_prices_bears(bench):
    """Without stearic acid the wax must be bought: its price is borne by both rules on prices."""
    gone = "stearic acid, 50/50 palmitic, pearls"
    shelf = tuple(item for item in bench.shelf if item.material.name != gone)
    dear = tuple(
        replace(item, price=60.0) if item.material.name == "cetyl alcohol, pellets" else item
        for item in shelf
    )
    short = replace(bench, shelf=dear)
    refusal = cheapest(short)
    assert isinstance(refusal, Refusal)
    (bought,) = reasons(short, refusal, (gone,)).purchases
    assert bought.up_to is not None
    for price, kind in ((bought.up_to * 0.999, Finding), (bought.up_to * 1.01, Refusal)):
        item = replace(bench.item(gone), price=price)
        assert isinstance(cheapest(replace(short, shelf=(*dear, item))), kind)


def test_rows_that_move_with_a_price_are_found_for_every_kind(bench):
    column = [item.material.name for item in bench.shelf].index(
        "stearic acid, 50/50 palmitic, pearls"
    )
    assert {one.row.rule for one in priced_rows(bench, column)} == {"cost", "wax money"}


def test_a_weigh_out_keeps_every_kind_of_rule(bench, finding):
    rows = rows_of(bench, finding.rows.ionic_strength)
    prices = {item.material.name: item.price for item in bench.shelf}
    made = weigh(rows, finding.composition.parts, prices, bench.brief.balances, 16.0)
    assert isinstance(made, Weighed)
    total = sum(weight.mass for weight in made.weights)
    parts = {weight.material: weight.mass / total for weight in made.weights}
    verdicts = judge(bench, Composition("weighed", parts))
    assert [one.rule.id for one in verdicts if not one.kept] == []


COMMANDS = [
    ("cheapest", "BENCH"),
    ("check", "BENCH", "FORMULA"),
    ("curve", "BENCH", "--limit", "wax money"),
    ("curve", "BENCH", "--price", "stearic acid, 50/50 palmitic, pearls"),
    ("acidity", "BENCH", "FORMULA"),
    ("replace", "BENCH", "FORMULA", "--without", "sodium phytate, 50 % solution"),
    ("batch", "BENCH", "FORMULA", "--bars", "12"),
    ("fill", "BENCH"),
    ("price", "BENCH", "FORMULA", "--bars", "12"),
    ("label", "BENCH", "FORMULA", "--market", "EU"),
]


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: " ".join(words[:1] + words[2:4]))
@pytest.mark.parametrize("shown", ["table", "json"])
def test_every_command_works_with_a_kind_from_outside(words, shown, bench, folder, finding, capsys):
    from barwright.constraints.bench.writing import formula_text

    formula = folder / "found.toml"
    text = formula_text(finding.composition, because="found", source="test")
    formula.write_text(text, encoding="utf-8")
    there = {"BENCH": str(folder), "FORMULA": str(formula)}
    whole = ["--all"] if words[0] in {"cheapest", "check"} and shown == "table" else []
    with pytest.raises(SystemExit) as left:
        run([*(there.get(word, word) for word in words), "--format", shown, *whole])
    out, err = capsys.readouterr()
    assert left.value.code in {0, 3}, err
    if shown == "json":
        assert json.loads(out)["schema"] == 1
    if words[0] in {"cheapest", "check"}:
        assert "wax money" in out


def test_many_lots_are_judged_as_each_of_them(bench, finding):
    lots = drawn(bench, finding.composition, count=6)
    for rule in rules(bench):
        kept = rule.kept_in(lots)
        verdicts = [rule.judged(mix) for mix in lots.each()]
        assert [one.kept for one in verdicts] == list(kept), rule.id
        if isinstance(rule, Limited):
            values = [nan if one.value is None else one.value for one in verdicts]
            assert list(rule.value_in(lots)) == pytest.approx(values, abs=1e-9, nan_ok=True)


def test_a_composition_that_is_sure_keeps_every_kind_in_every_lot(bench):
    known = Uncertainty(scale=0.2)
    held = cheapest(holding(bench, known))
    assert isinstance(held, Finding)
    lots = drawn(bench, held.composition, known, count=50)
    assert all(rule.kept_in(lots).all() for rule in rules(bench))
