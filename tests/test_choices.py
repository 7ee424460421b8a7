"""Choices made the other way: each priced by its own cheapest composition, proved."""

from dataclasses import replace
from pathlib import Path

import pytest
from barwright.constraints.bench.reading import read_bench
from barwright.constraints.rules.choose import Choose
from barwright.constraints.rules.companion import Companion
from barwright.constraints.rules.dose import Dose
from barwright.solver.cheapest.cheapest import Finding, cheapest
from barwright.solver.choices.choices import other_choices
from barwright.solver.prices.course import over_price, with_price
from blends import bench, least_cost, material, said

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
BASE = material("base, plain", {"Base": 1.0})
KEEPERS = [material(f"keeper {letter}", {f"Keeper {letter.upper()}": 1.0}) for letter in "abc"]


def dosed(name, low, high):
    return Dose(**said(f"dose of {name}"), low=low, high=high, material=name)


def keeping_bench(*more):
    """One of three keepers, at 20, 50 and 30 money/kg, dosed at 1, 0.5 and 1 per cent."""
    doses = [dosed("keeper a", 0.01, 0.02), dosed("keeper b", 0.005, 0.02)]
    doses.append(dosed("keeper c", 0.01, 0.02))
    names = tuple(keeper.name for keeper in KEEPERS)
    one = Choose(**said("one keeper", unit=""), low=1.0, high=1.0, among=names)
    return bench([BASE, *KEEPERS], [1.0, 20.0, 50.0, 30.0], [one, *doses, *more])


def test_the_next_best_choice_comes_first_with_its_premium():
    kept = keeping_bench()
    finding = cheapest(kept)
    others = other_choices(kept, finding)
    assert [(other.material, other.used) for other in others] == [
        ("keeper b", True),
        ("keeper c", True),
    ]
    # 0.5 % at 49 above the base, and 1 % at 29 above it, against 1 % at 19 above it
    premiums = [0.005 * 49 - 0.01 * 19, 0.01 * 29 - 0.01 * 19]
    assert [other.premium for other in others] == pytest.approx(premiums, abs=1e-9)
    assert all(other.proved and other.rule == "one keeper" for other in others)


def test_each_premium_is_that_of_the_cheapest_with_the_choice_by_brute_force():
    kept = keeping_bench()
    finding = cheapest(kept)
    program, first = finding.program, len(finding.rows.materials)
    best = least_cost(program)
    for other in other_choices(kept, finding):
        column = first + finding.rows.choices.index(other.material)
        lower = tuple(1.0 if j == column else end for j, end in enumerate(program.lower))
        whole = tuple(is_whole and j != column for j, is_whole in enumerate(program.whole))
        held = replace(program, lower=lower, whole=whole)
        assert other.premium == pytest.approx(float(least_cost(held) - best), abs=1e-9)


def test_a_choice_that_nothing_allows_says_so_and_comes_last():
    both = Companion(**said("b needs c"), material="keeper b", needs=("keeper c",), never=())
    kept = keeping_bench(both)
    *_, last = other_choices(kept, cheapest(kept))
    assert (last.material, last.premium, last.composition) == ("keeper b", None, None)


def test_an_optional_material_is_priced_with_and_without():
    helper = material("helper, powder", {"Helper": 1.0})
    needs = Companion(**said("a with helper"), material="keeper a", needs=(helper.name,), never=())
    kept = keeping_bench(needs, dosed(helper.name, 0.001, 0.01))
    shelf = bench([BASE, *KEEPERS, helper], [1.0, 20.0, 50.0, 30.0, 2.0], kept.brief.rules)
    finding = cheapest(shelf)
    assert helper.name in finding.composition.parts
    without = [o for o in other_choices(shelf, finding) if o.material == helper.name]
    assert [(other.used, other.rule) for other in without] == [(False, None)]
    assert without[0].premium > 0


def test_every_premium_of_the_examples_is_above_nothing():
    for name in ("oily-hair", "dry-hair"):
        kept = read_bench(EXAMPLES / name)
        others = other_choices(kept, cheapest(kept))
        assert others
        assert all(other.premium is None or other.premium > 0 for other in others)


def test_a_tie_between_two_ionic_strengths_is_settled_and_kept():
    # at this price two compositions of unlike ionic strength cost the same, each leading to the
    # other: a corner of the cost along the price of the preservative
    kept = read_bench(EXAMPLES / "oily-hair")
    held = "sodium benzoate and potassium sorbate, 50/50 powder"
    course = over_price(kept, cheapest(kept), held, (5.0, 10.0))
    corner = course.points[1][0]
    found = cheapest(with_price(kept, held, corner))
    assert isinstance(found, Finding)
    assert all(verdict.kept for verdict in found.verdicts)
    assert found.cost == pytest.approx(course.points[1][1], abs=1e-4)
