"""Bars that share a base take one change, or the fewest and cheapest."""

from math import comb, factorial

import pytest
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.rule import Counted, Pick, Selector
from barwright.constraints.rules.share import none_of
from barwright.solver.cheapest.cheapest import Refusal
from barwright.solver.nearest.distance import DISTANCES
from barwright.solver.nearest.family import (
    NoBase,
    family,
    partitions,
    shared_by,
)
from barwright.solver.nearest.nearest import nearest
from barwright.solver.nearest.one_change import one_change, scales_of
from blends import bench, common, material, share_of

CLASSES = {
    "Foam": ("surfactant",),
    "Quat": ("cationic", "quat"),
    "Alcohol Wax": ("fatty alcohol", "wax"),
    "Clay": ("clay", "filler"),
    "Rose": ("fragrance",),
    "Mint": ("fragrance",),
    "Red": ("colour",),
}
CONTENTS = {
    "foam": {"Foam": 1.0},
    "old": {"Quat": 0.25, "Alcohol Wax": 0.75},
    "new": {"Quat": 0.5, "Alcohol Wax": 0.5},
    "wax": {"Alcohol Wax": 1.0},
    "clay": {"Clay": 1.0},
    "rose": {"Rose": 1.0},
    "mint": {"Mint": 1.0},
    "red": {"Red": 1.0},
}
PRICES = [10, 19, 36, 7, 1, 90, 80, 50]


def shelf(*rules, gone="old"):
    without = none_of(common(f"without {gone}"), Selector(Pick.MATERIAL, gone, Counted.SUPPLIED))
    materials = [material(name, held) for name, held in CONTENTS.items()]
    return bench(materials, PRICES, [*rules, without], CLASSES)


def bar(name, old=0.08, **own):
    parts = {"foam": 0.5, "old": old, "wax": 0.1, **own}
    return Composition(name, parts | {"clay": 1 - sum(parts.values())})


ROSE, MINT, RED = bar("rose", rose=0.01), bar("mint", mint=0.02), bar("red", rose=0.01, red=0.002)


def test_one_change_does_for_bars_that_differ_in_scent_and_colour():
    """By hand: 8 % of the old grade are 4 % of the new one and 4 % of wax, in every bar."""
    found = family(shelf(), [ROSE, MINT, RED])
    (base,) = found.bases
    assert base.places == (0, 1, 2)
    for formula, one in zip((ROSE, MINT, RED), base.bars, strict=True):
        after = {k: v for k, v in formula.parts.items() if k != "old"} | {"new": 0.04, "wax": 0.14}
        assert one.composition.parts == pytest.approx(after)


def test_what_only_some_bars_have_stays_as_it_is():
    found = family(shelf(share_of("Alcohol Wax", high=0.12)), [ROSE, MINT])
    for formula, one in zip((ROSE, MINT), found.bases[0].bars, strict=True):
        for own in ("rose", "mint"):
            assert one.composition.parts.get(own) == formula.parts.get(own)


def test_one_bar_alone_is_changed_as_if_it_had_no_family():
    made = shelf(share_of("Alcohol Wax", high=0.12), share_of("Foam", low=0.45))
    alone = one_change(made, [ROSE], frozenset({"rose"}))
    free = nearest(made, ROSE)
    for stage in DISTANCES:
        assert alone.bars[0].apart[stage] == pytest.approx(free.apart[stage], abs=1e-9)
    assert alone.bars[0].cost == pytest.approx(free.cost)


def test_every_bar_of_a_family_keeps_every_rule():
    """The rule binds in the bar with more scent: the change has to suit it, and so suits both."""
    made = shelf(share_of("Clay", low=0.3105))
    found = family(made, [ROSE, MINT])
    for base in found.bases:
        for one in base.bars:
            assert all(verdict.kept for verdict in one.verdicts)
    clay = [one.composition.parts["clay"] for one in found.bases[0].bars]
    assert min(clay) == pytest.approx(0.3105)


def test_bars_that_hold_it_in_like_proportion_take_the_change_in_proportion():
    half = bar("half", old=0.04, mint=0.02)
    made = shelf()
    assert scales_of(made, [ROSE, half]) == pytest.approx((1.0, 0.5))
    (base,) = family(made, [ROSE, half]).bases
    assert base.scales == pytest.approx((1.0, 0.5))
    assert base.bars[1].composition.parts["new"] == pytest.approx(0.02)
    assert base.bars[1].composition.parts["wax"] == pytest.approx(0.12)


def test_where_no_one_change_does_the_fewest_and_cheapest_are_taken():
    """Two materials go; the third bar has them in another proportion than the first two."""
    parts = {"foam": 0.5, "old": 0.08, "wax": 0.1, "rose": 0.01}
    other = {"foam": 0.5, "old": 0.04, "wax": 0.1, "mint": 0.01}
    bars = [
        Composition("one", parts | {"clay": 0.31}),
        Composition("two", {k: v for k, v in parts.items() if k != "rose"} | {"clay": 0.32}),
        Composition("three", other | {"clay": 0.35}),
    ]
    going = none_of(common("without wax"), Selector(Pick.MATERIAL, "wax", Counted.SUPPLIED))
    made = shelf(going)
    found = family(made, bars)
    assert sorted(sorted(base.places) for base in found.bases) == [[0, 1], [2]]
    for base in found.bases:
        for one in base.bars:
            assert not {"old", "wax"} & one.composition.parts.keys()


def test_a_change_for_all_is_never_nearer_than_each_its_own():
    made = shelf(share_of("Clay", low=0.3105), share_of("Alcohol Wax", high=0.17))
    found = family(made, [ROSE, MINT, RED])
    together = {
        place: one for b in found.bases for place, one in zip(b.places, b.bars, strict=True)
    }
    mean = sum(one.apart[DISTANCES[0]] for one in together.values()) / 3
    alone = sum(base.bars[0].apart[DISTANCES[0]] for base in found.apart) / 3
    assert mean >= alone - 1e-9


def test_a_bar_that_cannot_be_made_at_all_is_named():
    made = shelf(share_of("Mint", high=0.01))
    found = family(made, [ROSE, MINT])
    assert isinstance(found, NoBase)
    assert found.bar == 1
    assert isinstance(found.refusal, Refusal)


def test_bars_that_share_nothing_are_no_family():
    with pytest.raises(ValueError, match="share 0"):
        family(shelf(), [Composition("a", {"foam": 1.0}), Composition("b", {"clay": 1.0})])
    assert shared_by([ROSE, MINT]) == ("foam", "old", "wax", "clay")


@pytest.mark.reference
@pytest.mark.parametrize("n", range(1, 7))
def test_there_are_as_many_ways_to_part_bars_as_stirling_counted(n):
    """Stirling numbers of the second kind, S(n, k) = Σ (−1)^(k−j) C(k, j) jⁿ / k!."""
    for k in range(1, n + 1):
        ways = [frozenset(parts) for parts in partitions(tuple(range(n)), k)]
        counted = sum((-1) ** (k - j) * comb(k, j) * j**n for j in range(k + 1)) // factorial(k)
        assert len(ways) == len(set(ways)) == counted
        assert all(frozenset().union(*parts) == frozenset(range(n)) for parts in ways)
