"""pH rules are taken at the ionic strength of their own answer, and a wrong one is no clash."""

from dataclasses import replace

import pytest
from barwright.constraints.bench.reading import read_bench, read_formula
from barwright.constraints.rules.acidity import Acidity
from barwright.solver.cheapest.cheapest import Finding, cheapest
from barwright.solver.nearest.nearest import Near, nearest
from barwright.solver.program.fixed_point import ionic_strength


@pytest.fixture(scope="module")
def sour(root):
    """The example with a band so sour that pure water's activities would put it out of reach."""
    bench = read_bench(root / "examples" / "oily-hair")
    rules = tuple(
        replace(rule, low=1.7, high=2.004) if isinstance(rule, Acidity) else rule
        for rule in bench.brief.rules
        if not (isinstance(rule, Acidity) and rule.when)
    )
    return replace(bench, brief=replace(bench.brief, rules=rules))


@pytest.fixture(scope="module")
def today(root, sour):
    return read_formula(root / "examples" / "oily-hair" / "formulas" / "today.toml", sour)


def test_the_cheapest_keeps_its_band_at_its_own_ionic_strength(sour):
    found = cheapest(sour)
    assert isinstance(found, Finding)
    assert all(verdict.kept for verdict in found.verdicts)


def test_the_nearest_is_found_too(sour, today):
    near = nearest(sour, today)
    assert isinstance(near, Near)
    assert all(verdict.kept for verdict in near.verdicts)


def test_a_brief_without_ph_begins_anywhere(sour, today):
    rules = tuple(rule for rule in sour.brief.rules if not isinstance(rule, Acidity))
    plain = replace(sour, brief=replace(sour.brief, rules=rules))
    assert ionic_strength(plain, today) == 0.0
    assert ionic_strength(sour, today) > 0.01
