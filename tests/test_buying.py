"""What to buy and when: published plans, whole packs by brute force, and another solver."""

import itertools
import json
import math
import random
from math import inf

import pytest
from barwright.constraints.model.row import Row
from barwright.solver.program.deadline import Deadline
from barwright.solver.program.outcome import Infeasible
from barwright.workshop.plan.bought import Bought
from barwright.workshop.plan.buying import buy
from barwright.workshop.plan.horizon import (
    Capacity,
    Carriage,
    Holding,
    Horizon,
    Packs,
    fixed,
    sold_by_mass,
)

# H. P. Williams, Model Building in Mathematical Programming, 5th ed. 2013, problems 12.1 and 12.2
# (pp. 253-255; solutions pp. 349-350): prices a ton by month, hardness, caps, storage and stock.
OILS = ("VEG1", "VEG2", "OIL1", "OIL2", "OIL3")
PRICES = {
    "VEG1": (110, 130, 110, 120, 100, 90),
    "VEG2": (120, 130, 140, 110, 120, 100),
    "OIL1": (130, 110, 130, 120, 150, 140),
    "OIL2": (110, 90, 100, 120, 110, 80),
    "OIL3": (115, 115, 95, 125, 105, 135),
}
HARDNESS = (8.8, 6.1, 2.0, 4.2, 5.0)
HARD = Row("hardness", "mean", (0, 1, 2, 3, 4), HARDNESS, 3.0, 6.0)


def food(masses=(), choices=0):
    """Six months of blending oils that are bought loose, stored, and sold at 150 a ton."""
    months = range(1, 7)
    return Horizon(
        weeks=6,
        holdings=tuple(Holding(oil, 500.0) for oil in OILS),
        offers=tuple(Packs(oil, "", 0.0, tuple(map(float, PRICES[oil]))) for oil in OILS),
        carriages=(),
        makings=tuple(
            sold_by_mass(
                f"blend {month}", OILS, month, 6, worth=150.0, shares=(HARD,), masses=masses,
                choices=choices, between=(0.0, 450.0),
            )
            for month in months
        ),
        capacities=(Capacity(OILS[:2], 200.0), Capacity(OILS[2:], 250.0)),
        storage=5.0,
        most_stored=1000.0,
        closing=dict.fromkeys(OILS, 500.0),
    )  # fmt: skip


@pytest.mark.reference
def test_food_manufacture_one_earns_what_was_published():
    found = buy(food())
    assert isinstance(found, Bought)
    # Williams 12.1: 107,842.59
    assert -found.cost == pytest.approx(107_842.5926, abs=1e-3)


def used_and_chosen():
    """At most three oils a month, each at least 20 tons, and OIL3 wherever a VEG is used."""
    most = (200.0, 200.0, 250.0, 250.0, 250.0)
    for oil in range(5):
        yield Row("least", "", (oil, 5 + oil), (1.0, -20.0), 0.0, inf)
        yield Row("most", "", (oil, 5 + oil), (1.0, -most[oil]), -inf, 0.0)
    yield Row("three", "", (5, 6, 7, 8, 9), (1.0,) * 5, -inf, 3.0)
    yield Row("with OIL3", "", (5, 9), (1.0, -1.0), -inf, 0.0)
    yield Row("with OIL3", "", (6, 9), (1.0, -1.0), -inf, 0.0)


@pytest.mark.reference
@pytest.mark.slow
def test_food_manufacture_two_earns_what_was_published():
    found = buy(food(tuple(used_and_chosen()), choices=5), gap=1e-6, deadline=Deadline.after(120))
    assert isinstance(found, Bought)
    # Williams 12.2: 100,278.70
    assert found.gap <= 1e-6
    assert -found.cost == pytest.approx(100_278.7037, abs=1e-2)


def one_week(needed, offers, carriages=(), holdings=(), worth=None):
    made = fixed("bar", {"wax": 1.0}, (needed,))
    return Horizon(1, holdings, offers, carriages, (made,), worth=worth or {})


def cheapest_packs(needed, packs):
    """Whole packs that cover a need, by trying them all."""
    tries = [range(math.ceil(needed / mass) + 1) for mass, _ in packs]
    return min(
        sum(count * price for count, (_, price) in zip(counts, packs, strict=True))
        for counts in itertools.product(*tries)
        if sum(count * mass for count, (mass, _) in zip(counts, packs, strict=True))
        >= needed - 1e-9
    )


@pytest.mark.parametrize("seed", range(12))
def test_whole_packs_cover_a_need_at_the_least_outlay(seed):
    drawn = random.Random(seed)
    packs = [(drawn.choice((0.25, 0.5, 1.0, 5.0)), drawn.randint(100, 900) / 100) for _ in range(3)]
    needed = drawn.randint(1, 40) / 8
    offers = tuple(
        Packs("wax", f"supplier {place}", mass, (price,))
        for place, (mass, price) in enumerate(packs)
    )
    found = buy(one_week(needed, offers))
    assert found.cost == pytest.approx(cheapest_packs(needed, packs))
    assert all(one.packs == round(one.packs) for one in found.purchases)
    assert sum(one.mass for one in found.purchases) >= needed - 1e-9


@pytest.mark.reference
def test_published_change_is_made_with_the_published_number_of_coins(root):
    """S. Martello, P. Toth, Knapsack Problems (1990), chapter 5: a sum in the fewest coins."""
    case = json.loads((root / "tests/data/published/martello_toth_change.json").read_text("utf-8"))
    ((_, _, needed, terms),) = case["rows"]
    offers = tuple(Packs("wax", f"coin {coin}", float(coin), (1.0,)) for _, coin in terms)
    made = fixed("bar", {"wax": 1.0}, (float(needed),))
    exact = Horizon(1, (), offers, (), (made,), closing={"wax": 0.0})  # nothing left over
    assert buy(exact).cost == pytest.approx(case["expected"]["objective"])


def test_shipping_is_paid_once_a_supplier_and_not_at_all_from_its_amount():
    offers = (Packs("wax", "yard", 1.0, (10.0,)), Packs("oil", "yard", 1.0, (10.0,)))
    made = fixed("bar", {"wax": 0.5, "oil": 0.5}, (4.0,))
    small = buy(Horizon(1, (), offers, (Carriage("yard", 7.0, 50.0),), (made,)))
    assert small.cost == pytest.approx(47.0)
    assert [one.shipping for one in small.orders] == [7.0]
    large = buy(Horizon(1, (), offers, (Carriage("yard", 7.0, 40.0),), (made,)))
    assert large.cost == pytest.approx(40.0)


def test_a_pack_more_is_bought_where_it_saves_the_shipping():
    offers = (Packs("wax", "yard", 1.0, (10.0,)), Packs("salt", "yard", 1.0, (2.0,)))
    made = fixed("bar", {"wax": 1.0}, (4.0,))
    found = buy(Horizon(1, (), offers, (Carriage("yard", 7.0, 42.0),), (made,)))
    assert found.cost == pytest.approx(42.0)
    assert {one.offer.material for one in found.purchases} == {"wax", "salt"}


def test_a_dearer_supplier_is_cheaper_where_the_order_goes_there_anyway():
    offers = (
        Packs("wax", "yard", 1.0, (10.0,)),
        Packs("oil", "yard", 1.0, (9.0,)),
        Packs("oil", "lane", 1.0, (6.0,)),
    )
    made = fixed("bar", {"wax": 0.5, "oil": 0.5}, (2.0,))
    found = buy(Horizon(1, (), offers, (Carriage("yard", 5.0), Carriage("lane", 5.0)), (made,)))
    assert found.cost == pytest.approx(24.0)
    assert {one.offer.supplier for one in found.purchases} == {"yard"}


def test_what_is_sold_in_least_amounts_is_bought_so_or_not_at_all():
    offers = (Packs("wax", "a", 1.0, (2.0,), least=10.0), Packs("wax", "b", 1.0, (5.0,)))
    assert buy(one_week(3.0, offers)).cost == pytest.approx(15.0)
    assert buy(one_week(5.0, offers)).cost == pytest.approx(20.0)


def test_nothing_is_used_after_its_day():
    held = (Holding("wax", 5.0, last=1, lot="old"), Holding("wax", 1.0, lot="fresh"))
    offers = (Packs("wax", "yard", 1.0, (4.0, 4.0)),)
    made = fixed("bar", {"wax": 1.0}, (2.0, 2.0))
    found = buy(Horizon(2, held, offers, (), (made,)))
    assert found.cost == pytest.approx(4.0)
    by_week = {one.week: one.source.lot for one in found.drawn if one.source.lot}
    assert by_week == {1: "old", 2: "fresh"}
    assert {one.source.lot: one.mass for one in found.left} == {"old": pytest.approx(3.0)}


def test_what_keeps_a_week_is_bought_in_the_week_it_is_used():
    offers = (Packs("wax", "yard", 1.0, (1.0, 9.0), keeps=1),)
    made = fixed("bar", {"wax": 1.0}, (1.0, 1.0))
    assert buy(Horizon(2, (), offers, (), (made,))).cost == pytest.approx(10.0)
    keeping = (Packs("wax", "yard", 1.0, (1.0, 9.0)),)
    assert buy(Horizon(2, (), keeping, (), (made,), storage=0.5)).cost == pytest.approx(2.5)


def test_what_is_left_counts_for_what_was_stated():
    offers = (Packs("wax", "a", 1.0, (3.0,)), Packs("wax", "b", 5.0, (9.0,)))
    assert buy(one_week(1.0, offers)).purchases[0].offer.supplier == "a"
    found = buy(one_week(1.0, offers, worth={"wax": 1.8}))
    assert found.purchases[0].offer.supplier == "b"
    assert found.cost == pytest.approx(9.0 - 4 * 1.8)
    assert sum(one.worth for one in found.left) == pytest.approx(7.2)


def test_what_cannot_be_had_leaves_no_plan():
    assert isinstance(buy(one_week(1.0, ())), Infeasible)
    late = Horizon(
        2, (), (Packs("wax", "", 1.0, (None, 2.0)),), (), (fixed("bar", {"wax": 1.0}, (1.0, 0.0)),)
    )
    assert isinstance(buy(late), Infeasible)


# --- lot sizing against another solver ------------------------------------------------------------

# The example of H. M. Wagner and T. M. Whitin, Dynamic Version of the Economic Lot
# Size Model, Management Science 5 (1958) 89-96, table 1, from memory: demands, set-up costs, a
# holding cost of 1 a period, and 864 as the least cost of all twelve. Figures are in no copyright.
DEMANDS = (69, 29, 36, 61, 61, 26, 34, 67, 45, 67, 79, 56)
SETUPS = (85, 102, 102, 101, 98, 114, 105, 86, 119, 110, 98, 114)


def lot_sizing(demands, setups, holding=1.0):
    """A set-up is an order that costs so much to bring; each week has a supplier of its own."""
    weeks = len(demands)
    offers = tuple(
        Packs(
            "wax",
            f"week {week}",
            0.0,
            tuple(0.0 if each == week else None for each in range(weeks)),
        )
        for week in range(weeks)
    )
    carriages = tuple(Carriage(f"week {week}", float(cost)) for week, cost in enumerate(setups))
    made = fixed("bar", {"wax": 1.0}, tuple(map(float, demands)))
    return Horizon(weeks, (), offers, carriages, (made,), storage=holding)


def least_by_stages(demands, setups, holding=1.0):
    """The same by dynamic programming: each order covers a run of weeks."""
    best = [0.0]
    for end in range(1, len(demands) + 1):
        best.append(
            min(
                best[start]
                + setups[start]
                + sum(holding * (week - start) * demands[week] for week in range(start, end))
                for start in range(end)
            )
        )
    return best[-1]


@pytest.mark.reference
def test_lot_sizes_of_a_published_instance_cost_what_was_published():
    found = buy(lot_sizing(DEMANDS, SETUPS))
    assert found.cost == pytest.approx(864.0)
    assert least_by_stages(DEMANDS, SETUPS) == 864.0


@pytest.mark.reference
def test_another_solver_finds_the_same_lot_sizes():
    pyscipopt = pytest.importorskip("pyscipopt")
    model = pyscipopt.Model()
    model.hideOutput()
    weeks, total = range(len(DEMANDS)), sum(DEMANDS)
    bought = [model.addVar(lb=0) for _ in weeks]
    ordered = [model.addVar(vtype="B") for _ in weeks]
    kept = [model.addVar(lb=0) for _ in weeks]
    for week in weeks:
        before = kept[week - 1] if week else 0
        model.addCons(before + bought[week] - DEMANDS[week] == kept[week])
        model.addCons(bought[week] <= total * ordered[week])
    model.setObjective(
        pyscipopt.quicksum(SETUPS[week] * ordered[week] + kept[week] for week in weeks)
    )
    model.optimize()
    assert buy(lot_sizing(DEMANDS, SETUPS)).cost == pytest.approx(model.getObjVal())


@pytest.mark.parametrize("seed", range(6))
def test_lot_sizes_are_those_of_dynamic_programming(seed):
    drawn = random.Random(seed)
    demands = [drawn.randint(0, 60) for _ in range(6)]
    setups = [drawn.randint(20, 120) for _ in range(6)]
    holding = drawn.choice((0.5, 1.0, 2.0))
    found = buy(lot_sizing(demands, setups, holding))
    assert found.cost == pytest.approx(least_by_stages(demands, setups, holding))
