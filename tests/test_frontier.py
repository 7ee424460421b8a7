"""What closeness costs: the corners are all there, and only they."""

import random
import warnings
from itertools import pairwise

import pulp
import pytest
from barwright.constraints.bench.changing import read_start
from barwright.constraints.bench.wish import Wish
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.rule import Counted, Pick, Selector
from barwright.constraints.rules.choose import Choose
from barwright.constraints.rules.dose import Dose
from barwright.constraints.rules.share import none_of
from barwright.solver.cheapest.cheapest import Refusal, cheapest
from barwright.solver.nearest.distance import Stage
from barwright.solver.nearest.frontier import frontier
from barwright.solver.nearest.nearest import CLOSE, nearest
from blends import bench, common, material, said, share_of

CLASSES = {
    "Foam": ("surfactant",),
    "Quat": ("cationic", "quat"),
    "Hard Wax": ("wax",),
    "Clay": ("clay", "filler"),
    "Oil": ("oil",),
}
SUBSTANCES = sorted(CLASSES)


def without(name):
    return none_of(common(f"without {name}"), Selector(Pick.MATERIAL, name, Counted.SUPPLIED))


def random_bench(number):
    """Eight materials, two limits, and one of two dosed materials to be chosen."""
    draw = random.Random(number)
    names = "abcdefgh"
    materials = []
    for name in names:
        one, other = draw.sample(SUBSTANCES, 2)
        split = draw.choice([0.3, 0.6, 0.9, 1.0])
        materials.append(material(name, {one: split, other: round(1 - split, 1)}))
    limits = [(inci, 0.05, round(draw.uniform(0.3, 0.6), 2)) for inci in draw.sample(SUBSTANCES, 2)]
    doses = {name: (0.02, round(draw.uniform(0.05, 0.3), 2)) for name in "gh"}
    rules = [
        without("a"),
        *(share_of(inci, low, high) for inci, low, high in limits),
        *(
            Dose(**said(f"dose {name}"), low=low, high=high, material=name)
            for name, (low, high) in doses.items()
        ),
        Choose(**said("one of them"), low=1, high=1, among=("g", "h")),
    ]
    prices = [round(draw.uniform(1, 20), 1) for _ in names]
    return bench(materials, prices, rules, CLASSES), limits, doses


FORMULA = Composition("today", {"a": 0.3, "b": 0.25, "c": 0.2, "d": 0.15, "g": 0.1})


def least_cost_within(made, limits, doses, apart):
    """The least cost no farther than that, by a program put to CBC anew; ``None`` if none."""
    model = pulp.LpProblem("sweep", pulp.LpMinimize)
    names = [item.material.name for item in made.shelf]
    x = {name: model.add_variable(f"x{i}", 0, 1) for i, name in enumerate(names)}
    used = {name: model.add_variable(f"u{name}", cat="Binary") for name in doses}
    model.setObjective(pulp.lpSum(item.price * x[item.material.name] for item in made.shelf))
    model += pulp.lpSum(x.values()) == 1
    model += x["a"] == 0
    model += pulp.lpSum(used.values()) == 1
    for name, (low, high) in doses.items():
        model += x[name] >= low * used[name]
        model += x[name] <= high * used[name]

    def amount(inci):
        return pulp.lpSum(
            item.material.contents[inci].typical * x[item.material.name]
            for item in made.shelf
            if inci in item.material.contents
        )

    for inci, low, high in limits:
        model += amount(inci) >= low
        model += amount(inci) <= high
    gaps = []
    for i, inci in enumerate(sorted(made.substances)):
        was = sum(
            made.material(name).contents[inci].typical * share
            for name, share in FORMULA.parts.items()
            if inci in made.material(name).contents
        )
        gap = model.add_variable(f"gap{i}", 0)
        model += gap >= amount(inci) - was
        model += gap >= was - amount(inci)
        gaps.append(gap)
    model += 0.5 * pulp.lpSum(gaps) <= apart
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # PuLP 4 will not bring CBC along
        model.solve(pulp.PULP_CBC_CMD(msg=False, gapRel=0.0))
    optimal = pulp.LpStatus[model.status] == "Optimal"
    return pulp.value(model.objective) if optimal else None


def cost_on(corners, apart):
    """Least and largest cost that the frontier leaves open at a distance.

    A straight line between two corners of one choice; where another choice takes over on the way,
    somewhere between the costs of both.
    """
    for left, right in pairwise(corners):
        if left.apart <= apart <= right.apart:
            part = (apart - left.apart) / (right.apart - left.apart)
            line = left.cost + part * (right.cost - left.cost)
            return (line, line) if left.used == right.used else (right.cost, left.cost)
    return corners[-1].cost, corners[-1].cost


@pytest.mark.reference
@pytest.mark.parametrize("number", range(7))
def test_no_bar_of_a_sweep_lies_below_the_frontier_and_every_corner_is_reached(number):
    """A brute-force sweep of distances, each a program written anew and put to CBC."""
    made, limits, doses = random_bench(number)
    corners = frontier(made, FORMULA)
    if isinstance(corners, Refusal):
        assert least_cost_within(made, limits, doses, 1.0) is None
        return
    for corner in corners:
        assert least_cost_within(made, limits, doses, corner.apart + 1e-7) == pytest.approx(
            corner.cost, abs=1e-4
        )
    nearest_apart, farthest = corners[0].apart, corners[-1].apart
    assert least_cost_within(made, limits, doses, nearest_apart - 1e-4) is None
    for step in range(21):
        apart = nearest_apart + (farthest - nearest_apart) * step / 20
        swept = least_cost_within(made, limits, doses, apart + 1e-9)
        least, most = cost_on(corners, apart)
        assert least - 1e-4 <= swept <= most + 1e-4


@pytest.mark.parametrize("number", range(7))
def test_corners_fall_in_cost_as_they_go_farther_and_end_at_the_cheapest(number):
    made, _, _ = random_bench(number)
    corners = frontier(made, FORMULA)
    if isinstance(corners, Refusal):
        return
    for one, other in pairwise(corners):
        assert one.apart < other.apart
        assert one.cost > other.cost
    assert corners[-1].cost == pytest.approx(cheapest(made).cost, abs=1e-6)
    order = (Stage.SUBSTANCE, *(stage for stage in CLOSE if stage is not Stage.SUBSTANCE))
    assert corners[0].apart == pytest.approx(
        nearest(made, FORMULA, order).apart[Stage.SUBSTANCE], abs=1e-6
    )
    assert all(verdict.kept for corner in corners for verdict in corner.verdicts)


def test_without_choices_the_frontier_is_convex():
    made = bench(
        [material(name, {inci: 1.0}) for name, inci in zip("abcde", SUBSTANCES, strict=True)],
        [9, 7, 5, 2, 1],
        [share_of("Foam", low=0.1), share_of("Clay", high=0.6), share_of("Oil", high=0.3)],
        CLASSES,
    )
    formula = Composition("today", {"b": 0.4, "a": 0.2, "c": 0.2, "d": 0.2})
    corners = frontier(made, formula)
    slopes = [
        (other.cost - one.cost) / (other.apart - one.apart) for one, other in pairwise(corners)
    ]
    assert len(slopes) > 1
    assert slopes == sorted(slopes)


def test_a_choice_that_starts_late_makes_a_jump():
    """By hand: one of two dosed materials; the cheap one may be had only far from the formula.

    g is in the formula; h saves 8 on a tenth of the bar but changes that tenth.
    """
    made = bench(
        [material("b", {"Foam": 1.0}), material("g", {"Quat": 1.0}), material("h", {"Oil": 1.0})],
        [5, 10, 2],
        [
            Dose(**said("dose g"), low=0.1, high=0.1, material="g"),
            Dose(**said("dose h"), low=0.1, high=0.1, material="h"),
            Choose(**said("one of them"), low=1, high=1, among=("g", "h")),
        ],
        CLASSES,
    )
    corners = frontier(made, Composition("today", {"b": 0.9, "g": 0.1}))
    assert [(one.apart, one.cost) for one in corners] == [
        pytest.approx((0.0, 5.5)),
        pytest.approx((0.1, 4.7)),
    ]
    assert [one.used for one in corners] == [("g",), ("h",)]


def test_a_frontier_with_a_ph_rule_keeps_it_at_every_corner(examples):
    folder = examples / "oily-hair"
    old = "behentrimonium methosulfate, 25 % grade"
    start = read_start(folder, [folder / "formulas" / "today.toml"], Wish((old,)))
    corners = frontier(start.bench, start.formulas[0])
    for corner in corners:
        acidity = next(v for v in corner.verdicts if v.rule.id == "acidity")
        assert acidity.kept
        assert old not in corner.composition.parts
    assert corners[-1].cost == pytest.approx(cheapest(start.bench).cost, abs=1e-4)
