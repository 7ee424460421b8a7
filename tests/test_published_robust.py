"""A robust linear program of a textbook, solved as a blend: its published optima."""

import json
from pathlib import Path

import pytest
from barwright import cheapest, drawn, tried
from barwright.constraints.model.uncertainty import Uncertainty
from barwright.constraints.rules.counting import Counting
from barwright.constraints.rules.holding import holding
from barwright.solver.proof.proof import prove
from barwright.solver.proof.proved import ProvedOptimal
from blends import bench, material, said

PUBLISHED = Path(__file__).parent / "data/published/robust_drugs.json"
WHOLE = 2000.0
"""Kilograms and thousands of packs in all; what is not used is nothing, at no cost."""


@pytest.fixture(scope="module")
def published():
    return json.loads(PUBLISHED.read_text("utf-8"))


@pytest.fixture(scope="module")
def factory(published):
    """Raw materials that hold an agent between limits, drugs that take it up, and nothing."""
    raw, drugs = published["raw"], published["drugs"]
    shelf = [
        material(
            name,
            {
                "agent": (one["least"], one["agent"], one["most"]),
                f"rest of {name}": (1 - one["most"], 1 - one["agent"], 1 - one["least"]),
            },
        )
        for name, one in raw.items()
    ]
    shelf += [material(name, {name: 1.0}) for name in (*drugs, "nothing")]
    prices = [one["price"] for one in raw.values()]
    prices += [-one["profit"] for one in drugs.values()] + [0.0]
    return bench(shelf, prices, list(_rules(published)))


def _rules(published):
    raw, drugs = published["raw"], published["drugs"]
    taken = {name: -one["agent"] for name, one in drugs.items()}
    yield _sum("agent", {"agent": 1.0, **taken}, low=0.0)
    bought = {"agent": 1.0, **{f"rest of {name}": 1.0 for name in raw}}
    yield _sum("storage", bought, high=published["storage"])
    for of in ("manpower", "equipment"):
        yield _sum(of, {name: one[of] for name, one in drugs.items()}, high=published[of])
    # what is bought is paid by the kilogram: the agent costs what its raw material does
    spent = {f"rest of {name}": one["price"] / (1 - one["agent"]) for name, one in raw.items()}
    spent |= {name: one["cost"] for name, one in drugs.items()}
    yield _sum("budget", spent, high=published["budget"])


def _sum(name, factors, low=None, high=None):
    return Counting(
        **said(name, unit=""),
        low=low,
        high=None if high is None else high / WHOLE,
        factors=factors,
    )


def only_agent(read):
    """The bench with the balance of the agent, and nothing else, holding for every lot."""
    held = holding(read, Uncertainty()).brief.rules
    rules = [
        one if one.id == "agent" else plain
        for one, plain in zip(held, read.brief.rules, strict=True)
    ]
    return read.with_only(rules)


@pytest.mark.reference
@pytest.mark.parametrize("which", ["nominal", "robust"])
def test_the_published_optimum_is_found_and_proved(which, factory, published):
    expected = published[which]
    found = cheapest(factory if which == "nominal" else only_agent(factory))
    assert -found.cost * WHOLE == pytest.approx(expected["profit"], abs=2e-3)
    for name in (*published["raw"], *published["drugs"]):
        share = found.composition.parts.get(name, 0.0) * WHOLE
        assert share == pytest.approx(expected[name], abs=1e-3), name
    assert isinstance(prove(*found.fixed), ProvedOptimal)


def test_the_nominal_plan_lacks_agent_in_half_of_all_lots_and_the_robust_one_never(factory):
    for read, least, most in ((factory, 0.45, 0.55), (only_agent(factory), 0.0, 0.0)):
        lots = drawn(factory, cheapest(read).composition, count=2000)
        agent = next(
            one for one in tried(factory.brief.rules, lots).rules if one.rule.id == "agent"
        )
        assert least <= agent.share <= most
