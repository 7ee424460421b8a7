"""Lots drawn from what certificates allow, and a composition judged in each of them."""

from dataclasses import replace

import numpy as np
import pytest
from barwright import cheapest, judge, read_bench
from barwright.constraints.acidity.charge import equilibrium, in_water
from barwright.constraints.acidity.lots import predict_lots
from barwright.constraints.catalogue import catalogue
from barwright.constraints.model.brief import Composition
from barwright.constraints.model.rule import Limited
from barwright.constraints.model.uncertainty import Uncertainty, least_lot
from barwright.constraints.model.verdict import TOLERANCE
from barwright.solver.uncertain.confidence import at_least, at_most
from barwright.solver.uncertain.draws import Spread, drawn
from barwright.solver.uncertain.tried import tried
from blends import bench, material, share_of
from hypothesis import given
from hypothesis import strategies as some

BENCHES = ("oily-hair", "dry-hair")


@pytest.fixture(scope="module", params=BENCHES)
def made(request, root):
    read = read_bench(root / "examples" / request.param)
    return read, cheapest(read).composition


def test_every_lot_adds_to_one_and_stays_in_its_ranges(made):
    lots = drawn(*made, count=500)
    for of, contents in zip(lots.materials, lots.contents, strict=True):
        spans = list(of.contents.values())
        assert np.allclose(contents.sum(axis=1), 1.0, atol=1e-12)
        assert np.all(contents >= [span.low - 1e-12 for span in spans])
        assert np.all(contents <= [span.high + 1e-12 for span in spans])


def test_the_same_seed_draws_the_same_lots_whatever_else_is_used(made):
    read, composition = made
    alone = Composition("alone", dict.fromkeys(list(composition.parts)[-1:], 1.0))
    both, one = drawn(read, composition, count=20), drawn(read, alone, count=20)
    assert np.array_equal(both.contents[-1], one.contents[0])
    assert np.array_equal(both.alkalinity[:, -1], one.alkalinity[:, 0])


def test_even_draws_put_one_in_every_slice():
    stuff = material("stuff", {"A": (0.2, 0.5, 0.8), "B": (0.2, 0.5, 0.8)})
    known = Uncertainty(prices={"stuff": 0.5})
    made_of = (bench([stuff], [2.0], []), Composition("x", {"stuff": 1.0}))
    prices = np.sort(drawn(*made_of, known, count=400).prices[:, 0])
    rising = 1.0 + np.sqrt(2.0 * (np.arange(200) / 400))  # the rising half of its triangle
    assert np.all(prices[:200] >= rising - 1e-12)
    assert np.all(prices[:199] <= rising[1:] + 1e-12)


def test_what_every_kind_of_rule_says_of_many_lots_is_what_it_says_of_each(made):
    read, composition = made
    lots = drawn(read, composition, Uncertainty(prices={"kaolin, white": 0.3}), count=12)
    for rule in read.brief.rules:
        kept = rule.kept_in(lots)
        values = rule.value_in(lots) if isinstance(rule, Limited) else None
        for row, mix in enumerate(lots.each()):
            verdict = rule.judged(mix)
            assert verdict.kept == kept[row], rule.id
            if values is not None and verdict.value is not None:
                assert values[row] == pytest.approx(verdict.value, abs=1e-9), rule.id
            elif values is not None:
                assert np.isnan(values[row]), rule.id


def test_what_ionises_beside_a_substance_counts_in_a_lot_as_in_the_mix():
    """Ammonium and the second acid of a calcium salt are in the water, whoever asks."""
    known = {name: catalogue.substance(name) for name in catalogue.substance_names()}
    shares = {inci: 0.002 for inci, one in known.items() if len(one.groups()) > 1}
    stuff = material("stuff", {"Water": 1.0 - sum(shares.values()), **shares})
    made_of = replace(bench([stuff], [1.0], []), substances=known)
    lots = drawn(made_of, Composition("x", {"stuff": 1.0}), count=2)
    alone = equilibrium(in_water(lots.one(0).shares, known, 0.1))
    assert len(shares) > 5
    assert predict_lots(lots, 0.1)[0][0] == pytest.approx(alone[0], abs=1e-9)
    assert predict_lots(lots, 0.1)[1][0] == pytest.approx(alone[1], rel=1e-9)


def test_typical_lots_are_judged_as_the_composition_is(made):
    read, composition = made
    found = tried(read.brief.rules, drawn(read, composition, Uncertainty(scale=0.0), count=2))
    for one, verdict in zip(found.rules, judge(read, composition), strict=True):
        assert one.broken == (0 if verdict.kept else 2)
        if isinstance(one.rule, Limited) and one.low is not None:
            assert one.low == pytest.approx(verdict.value, abs=1e-9)


def test_a_law_is_kept_or_broken_by_the_certificate_and_not_by_the_lot(made):
    found = tried(made[0].brief.rules, drawn(*made, count=50))
    laws = [one for one in found.rules if one.rule.kind == "law"]
    assert laws
    assert not any(one.broken for one in laws)


def test_the_cheapest_bar_leaves_its_band_in_many_lots(root):
    read = read_bench(root / "examples/oily-hair")
    lots = drawn(read, cheapest(read).composition, spread=Spread.INDEPENDENT)
    found = {one.rule.id: one for one in tried(read.brief.rules, lots).rules}
    assert 0.05 < found["acidity"].share < found["acidity"].at_most < 0.5


def test_a_share_is_broken_as_often_as_its_triangle_says():
    stuff = material("stuff", {"A": (0.2, 0.5, 0.8), "B": (0.2, 0.5, 0.8)})
    rule = share_of("A", low=0.5 - TOLERANCE)
    made_of = (bench([stuff], [1.0], [rule]), Composition("x", {"stuff": 1.0}))
    found = tried((rule,), drawn(*made_of, spread=Spread.INDEPENDENT)).rules[0]
    assert found.share == pytest.approx(0.5, abs=0.02)
    assert found.share < found.at_most < found.share + 0.01


@pytest.mark.reference
@pytest.mark.parametrize(("seen", "of"), [(0, 10), (1, 10), (5, 10), (3, 1000), (250, 1000)])
def test_bounds_are_quantiles_of_the_beta_distribution(seen, of):
    """Clopper and Pearson 1934, by the beta quantile that is equal to it (scipy's)."""
    from scipy.stats import beta

    assert at_most(seen, of, 0.95) == pytest.approx(beta.ppf(0.95, seen + 1, of - seen), abs=1e-9)
    if seen:
        assert at_least(seen, of, 0.95) == pytest.approx(
            beta.ppf(0.05, seen, of - seen + 1), abs=1e-9
        )


@given(some.integers(2, 200), some.data())
def test_a_bound_lies_above_what_was_seen_and_falls_with_confidence(of, data):
    seen = data.draw(some.integers(0, of - 1))
    assert seen / of < at_most(seen, of, 0.9) <= at_most(seen, of, 0.99) <= 1.0


@given(some.integers(2, 6), some.data())
def test_the_least_lot_is_no_heavier_than_any_lot_drawn(count, data):
    lows = data.draw(some.lists(some.floats(0, 0.1), min_size=count, max_size=count))
    ups = data.draw(some.lists(some.floats(0.05, 0.5), min_size=count, max_size=count))
    weights = data.draw(some.lists(some.floats(-3, 3), min_size=count, max_size=count))
    typical = np.array(lows) + (1 - sum(lows)) * np.array(ups) / sum(ups)
    contents = {
        f"s{i}": (low, mid, mid + up)
        for i, (low, mid, up) in enumerate(zip(lows, map(float, typical), ups, strict=True))
    }
    stuff = material("stuff", contents)
    found = least_lot(list(stuff.contents.values()), weights)
    assert sum(found) == pytest.approx(1.0, abs=1e-9)
    lots = drawn(bench([stuff], [1.0], []), Composition("x", {"stuff": 1.0}), count=50)
    assert np.all(lots.contents[0] @ weights >= np.dot(found, weights) - 1e-9)
