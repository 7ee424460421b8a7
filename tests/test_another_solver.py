"""Two hundred random briefs, put to a solver that shares nothing with ours: SCIP."""

import random

import pyscipopt
import pytest
from barwright.constraints.model.rule import Counted, Pick, Selector
from barwright.constraints.rules.choose import Choose
from barwright.constraints.rules.companion import Companion
from barwright.constraints.rules.cost import Cost
from barwright.constraints.rules.dose import Dose
from barwright.constraints.rules.ratio import Ratio
from barwright.constraints.rules.rows import rows_of
from barwright.constraints.rules.share import Share, none_of
from barwright.solver.cheapest.cheapest import Finding, cheapest, program_of
from blends import bench, common, material, said, share_of

pytestmark = pytest.mark.reference

SUBSTANCES = [f"S{k}" for k in range(8)]
CLASSES = {inci: (f"class {k % 3}",) for k, inci in enumerate(SUBSTANCES)}


def random_bench(seed):
    draw = random.Random(seed)
    shelf = [_material(draw, i) for i in range(draw.randint(4, 9))]
    names = [each.name for each in shelf]
    rules = [*_shares(draw), *_ratios(draw), *_choices(draw, names)]
    if draw.random() < 0.3:
        of = Selector(Pick.MATERIAL, draw.choice(names), Counted.SUPPLIED)
        rules.append(none_of(common("without"), of))
    if draw.random() < 0.3:
        rules.append(Cost(**said("cost", unit="EUR/kg"), low=None, high=draw.uniform(5, 15)))
    return bench(shelf, [round(draw.uniform(1, 20), 2) for _ in shelf], rules, CLASSES)


def _material(draw, number):
    picked = draw.sample(SUBSTANCES, 3)
    return material(f"m{number}", {inci: round(draw.uniform(0.05, 0.33), 3) for inci in picked})


def _shares(draw):
    for number, inci in enumerate(draw.sample(SUBSTANCES, 3)):
        low = round(draw.uniform(0, 0.1), 3)
        yield share_of(inci, low, round(low + draw.uniform(0.02, 0.2), 3), f"share {number}")
    of = Selector(Pick.CLASS, "class 0", Counted.ACTIVE)
    yield Share(**said("class share"), low=round(draw.uniform(0, 0.2), 3), high=None, of=of)


def _ratios(draw):
    one, two = (Selector(Pick.CLASS, f"class {k}", Counted.ACTIVE) for k in (1, 2))
    low = round(draw.uniform(0.2, 1), 2)
    yield Ratio(**said("ratio", unit=""), low=low, high=low + 2, of=one, to=two)


def _choices(draw, names):
    some = draw.sample(names, 3)
    for name in some:
        low = round(draw.uniform(0.01, 0.1), 3)
        high = round(low + draw.uniform(0.05, 0.4), 3)
        yield Dose(**said(f"dose of {name}"), low=low, high=high, material=name)
    yield Choose(**said("choose", unit=""), low=1, high=2, among=tuple(some))
    if draw.random() < 0.5:
        yield Companion(**said("pair", unit=""), material=some[0], needs=(some[1],), never=())


def by_scip(program):
    """The least cost by SCIP, or ``None`` where it finds no point."""
    model = pyscipopt.Model()
    model.hideOutput()
    model.setParam("numerics/feastol", 1e-9)
    model.setParam("limits/gap", 0.0)
    columns = [
        model.addVar(vtype="B" if whole else "C", lb=low, ub=None if high == float("inf") else high)
        for low, high, whole in zip(program.lower, program.upper, program.whole, strict=True)
    ]
    quick = pyscipopt.quicksum
    for row in program.rows:
        total = quick(v * columns[j] for j, v in zip(row.columns, row.values, strict=True))
        if row.low != float("-inf"):
            model.addCons(total >= row.low)
        if row.high != float("inf"):
            model.addCons(total <= row.high)
    model.setObjective(quick(c * x for c, x in zip(program.costs, columns, strict=True)))
    model.optimize()
    assert model.getStatus() in {"optimal", "infeasible"}
    return model.getObjVal() if model.getStatus() == "optimal" else None


@pytest.mark.parametrize("block", range(10))
def test_another_solver_finds_the_same_cost_or_none_either(block):
    found_some = 0
    for seed in range(20 * block, 20 * block + 20):
        made = random_bench(seed)
        cost = by_scip(program_of(rows_of(made), [item.price for item in made.shelf]))
        found = cheapest(made)
        assert isinstance(found, Finding) is (cost is not None), seed
        if isinstance(found, Finding):
            found_some += 1
            assert found.cost == pytest.approx(cost, abs=1e-6), seed
    assert 0 < found_some < 20
