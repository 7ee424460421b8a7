"""Published least-cost problems come out of our rows and our solver as they were published.

Each case's file under ``data/published`` names its book or paper; the blends below are also put as
a bench of materials and rules, and go the whole way from rules to a composition.
"""

import pytest
from barwright.constraints.model.rule import Counted, Pick, Selector
from barwright.constraints.rules.ratio import Ratio
from barwright.solver.cheapest.cheapest import Finding, cheapest
from barwright.solver.program.opinion import second_opinion
from barwright.solver.program.outcome import Infeasible, Optimal
from barwright.solver.program.session import solve
from blends import bench, material, said, share_of

pytestmark = pytest.mark.reference

CASES = [
    "ampl_diet",
    "catfood_six",
    "catfood_two",
    "chvatal_polly",
    "cutting_stock_chvatal",
    "dantzig_alloy",
    "dantzig_alloy_redundant",
    "lpsolve_sensitivity",
    "martello_toth_change",
    "pulp_sign_max",
    "rounding_costly",
    "rounding_infeasible",
    "stigler_1939",
    "taha_ozark_feed",
    "westerberg_steel",
    "williams_food2",
    "williams_small_blend",
    "winston_degenerate",
    "winston_diet",
]


@pytest.mark.parametrize("ask", [solve, second_opinion], ids=["HiGHS", "CBC"])
@pytest.mark.parametrize("name", CASES)
def test_the_published_optimum_is_found(published, name, ask):
    case, program = published(name)
    outcome = ask(program)
    assert isinstance(outcome, Optimal)
    cost = outcome.cost if case["sense"] == "min" else -outcome.cost
    expected = case["expected"]
    tolerance = max(expected.get("objective_tol", 1e-9), 2e-6 * abs(expected["objective"]))
    assert cost == pytest.approx(expected["objective"], abs=tolerance)


@pytest.mark.parametrize("ask", [solve, second_opinion], ids=["HiGHS", "CBC"])
def test_the_published_diet_without_an_answer_has_none(published, ask):
    _, program = published("ampl_diet2_infeasible")
    assert isinstance(ask(program), Infeasible)


@pytest.mark.parametrize("name", ["catfood_six", "stigler_1939", "winston_diet"])
def test_where_the_published_plan_is_the_only_one_it_is_ours(published, name):
    case, program = published(name)
    outcome = solve(program)
    for column, name_ in enumerate(case["names"]):
        amount = case["expected"]["primal"].get(name_, 0.0)
        assert outcome.x[column] == pytest.approx(amount, abs=1e-6)


# The contents and prices of the University of Auckland course example "A Blending Problem"
# (PuLP documentation, case studies): grams of each nutrient in a gram, dollars a gram.
CATFOOD = {
    "chicken": (0.013, {"Protein": 0.100, "Fat": 0.080, "Fibre": 0.001, "Salt": 0.002}),
    "beef": (0.008, {"Protein": 0.200, "Fat": 0.100, "Fibre": 0.005, "Salt": 0.005}),
    "mutton": (0.010, {"Protein": 0.150, "Fat": 0.110, "Fibre": 0.003, "Salt": 0.007}),
    "rice": (0.002, {"Fat": 0.010, "Fibre": 0.100, "Salt": 0.002}),
    "wheat bran": (0.005, {"Protein": 0.040, "Fat": 0.010, "Fibre": 0.150, "Salt": 0.008}),
    "gel": (0.001, {}),
}
CATFOOD_RULES = (
    share_of("Protein", low=0.08),
    share_of("Fat", low=0.06),
    share_of("Fibre", high=0.02),
    share_of("Salt", high=0.004),
)


def catfood(*names):
    chosen = {name: CATFOOD[name] for name in names}
    return bench(
        [material(name, contents) for name, (_, contents) in chosen.items()],
        [price for price, _ in chosen.values()],
        CATFOOD_RULES,
    )


def test_six_ingredients_blend_as_published_60_beef_and_40_gel():
    found = cheapest(catfood(*CATFOOD))
    assert isinstance(found, Finding)
    assert found.composition.parts == pytest.approx({"beef": 0.6, "gel": 0.4})
    assert found.cost * 100 == pytest.approx(0.52)
    prices = {price.rule: price for price in found.prices}
    assert list(prices) == ["Fat share"]
    # Published: 0.07 dollars for one more gram of fat in a can of 100 g.
    assert prices["Fat share"].tighter / prices["Fat share"].step == pytest.approx(0.07)


def test_two_meats_blend_as_published_one_third_chicken():
    found = cheapest(catfood("chicken", "beef"))
    assert found.composition.parts == pytest.approx({"chicken": 1 / 3, "beef": 2 / 3})
    assert found.cost * 100 == pytest.approx(0.966_666_666_7)


def test_the_farm_feed_costs_what_the_textbook_says():
    """H. A. Taha, Operations Research: An Introduction, section 2.2.2: 437.64 dollars."""
    made = bench(
        [
            material("corn", {"Protein": 0.09, "Fibre": 0.02}),
            material("soybean meal", {"Protein": 0.60, "Fibre": 0.06}),
        ],
        [0.30, 0.90],
        [share_of("Protein", low=0.30), share_of("Fibre", high=0.05)],
    )
    found = cheapest(made)
    assert found.cost * 800 == pytest.approx(437.647, abs=1e-3)
    assert found.composition.parts["corn"] * 800 == pytest.approx(470.6, abs=0.05)


def test_a_ratio_rule_blends_the_textbook_oils():
    """H. P. Williams, Model Building in Mathematical Programming, section 1.2, per ton made.

    Of the 450 tons 200 are vegetable and 250 not, as both capacities bind; hardness at most 6 is a
    ratio of hardness to mass. Hardness units enter as a tenth so that they are shares.
    """
    hard = {"veg 1": 8.8, "veg 2": 6.1, "oil 1": 2.0, "oil 2": 4.2, "oil 3": 5.0}
    prices = [110, 120, 130, 110, 115]
    kinds = {name: ("vegetable",) if "veg" in name else ("mineral",) for name in hard}
    whole = Selector(Pick.CLASS, "oil", Counted.SUPPLIED)
    hardness = Selector(Pick.SUBSTANCE, "Hardness", Counted.ACTIVE)
    vegetable = Selector(Pick.CLASS, "vegetable", Counted.SUPPLIED)
    made = bench(
        [
            material(name, {"Hardness": units / 10}, classes=("oil", *kinds[name]))
            for name, units in hard.items()
        ],
        prices,
        [
            Ratio(**said("hardness", unit=""), low=0.3, high=0.6, of=hardness, to=whole),
            Ratio(
                **said("vegetable", unit=""), low=200 / 450, high=200 / 450, of=vegetable, to=whole
            ),
        ],
    )
    found = cheapest(made)
    tons = {name: share * 450 for name, share in found.composition.parts.items()}
    assert tons == pytest.approx({"veg 1": 159.259259, "veg 2": 40.740741, "oil 2": 250.0})
    assert (150 - found.cost) * 450 == pytest.approx(17592.5926, abs=1e-3)
