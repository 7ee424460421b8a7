"""Alternatives: within the premium, keeping every rule, and as different as they get."""

from pathlib import Path

import pytest
from barwright.constraints.bench.reading import read_bench
from barwright.constraints.rules.judging import judge
from barwright.solver.cheapest.cheapest import cheapest
from barwright.solver.choices.alternatives import ALIKE, alternatives, apart
from blends import bench, material, share_of

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
NAMES = ("one, plain", "two, plain", "three, plain")


def three(prices):
    """Three materials of one substance each, none above 80 %."""
    shelf = [material(name, {name.split(",")[0].title(): 1.0}) for name in NAMES]
    rules = [share_of(word, high=0.8) for word in ("One", "Two", "Three")]
    return bench(shelf, prices, rules)


def test_the_first_alternative_is_the_farthest_that_the_premium_allows():
    mixed = three([1.0, 1.1, 2.0])
    finding = cheapest(mixed)  # 80 % and 20 %: 1.02
    found = alternatives(mixed, finding, 1, 0.05).found
    # the second at its most and the first for the rest replaces 60 % and costs 1.08, above 1.071;
    # with 0.051 to spend at 0.1 for each kilogram replaced, 51 % is all that can be
    assert found[0].apart == pytest.approx(0.51, abs=1e-6)
    assert found[0].cost == pytest.approx(1.02 * 1.05, abs=1e-9)


def test_alternatives_are_apart_from_each_other_too():
    mixed = three([1.0, 1.0, 1.0])
    finding = cheapest(mixed)
    found = alternatives(mixed, finding, 3, 0.0).found
    known = [finding.composition, *(one.composition for one in found)]
    assert len(found) == 3
    for place, one in enumerate(known):
        assert all(apart(one, other) > ALIKE for other in known[:place])


def test_there_is_none_where_only_one_composition_is_cheap_enough():
    mixed = three([1.0, 2.0, 3.0])
    assert alternatives(mixed, cheapest(mixed), 3, 0.0).found == ()


def test_alternatives_of_an_example_keep_every_rule_within_the_premium():
    oily = read_bench(EXAMPLES / "oily-hair")
    finding = cheapest(oily)
    others = alternatives(oily, finding, 2, 0.01)
    assert len(others.found) == 2
    assert not others.stopped
    for one in others.found:
        assert all(verdict.kept for verdict in judge(oily, one.composition))
        assert one.cost <= finding.cost * 1.01 + 1e-6
    assert others.found[0].apart >= others.found[1].apart
