"""Costs add up, packs are whole, and a price leaves the margin it was made for."""

from dataclasses import replace

import pytest
from barwright.constraints.bench.reading import bench_of
from barwright.constraints.model.brief import Bench
from barwright.constraints.values.problem import SourceKind
from barwright.workshop.price.pricing import bought, costing, margin_at, price_at, price_list
from hypothesis import given
from hypothesis import strategies as st

BRIEF = """
schema = 1
[product]
name = "Bar"
currency = "EUR"
markets = []
[rules."any"]
share_of = "material:oil, test grade"
max = "100 %"
kind = "house"
because = "a brief has a rule"
"""
SHELF = """
material;pack;price;stock
oil, test grade;500 g;6 EUR;200 g
wax, test grade;1 kg;8 EUR;
"""
MATERIALS = "".join(
    f"""
["{name}, test grade"]
form = "solid"
phase = "melt"
classes = []
contents."Cetyl Alcohol" = "100 %"
source = "figures of this test"
kind = "measured"
"""
    for name in ("oil", "wax")
)
MASSES = {"oil, test grade": 0.3, "wax, test grade": 1.2}


@pytest.fixture(scope="module")
def bench() -> Bench:
    read = bench_of("bench", {"brief.toml": BRIEF, "shelf.csv": SHELF, "materials.toml": MATERIALS})
    assert isinstance(read, Bench), read
    return read


def test_a_batch_costs_what_is_used_and_what_goes_with_it(bench: Bench) -> None:
    """0.3 kg at 12 EUR/kg and 1.2 kg at 8 EUR/kg are 13.20 EUR."""
    found = costing(bench, MASSES, 24, packaging_a_bar=0.25, labour=18.0)
    assert found.materials == pytest.approx(13.2)
    assert found.packaging == pytest.approx(6.0)
    assert found.total == pytest.approx(13.2 + 6.0 + 18.0)
    assert found.a_bar == pytest.approx(found.total / 24)


def test_what_was_not_given_is_not_counted_and_says_so(bench: Bench) -> None:
    found = costing(bench, MASSES, 24)
    assert found.packaging is None
    assert found.labour is None
    assert found.total == pytest.approx(found.materials)


def test_packs_are_bought_whole_and_stock_goes_first(bench: Bench) -> None:
    """0.1 kg of oil is missing: one pack of 6 EUR. No wax was counted: two packs of 8 EUR."""
    found = costing(bench, MASSES, 24)
    oil, wax = found.purchases
    assert (oil.packs, oil.money, oil.left) == (1, 6.0, pytest.approx(0.4))
    assert (wax.packs, wax.money, wax.left) == (2, 16.0, pytest.approx(0.8))
    assert wax.stock is None
    assert found.outlay == pytest.approx(22.0)
    assert found.a_bar_bought == pytest.approx(22.0 / 24)


def test_a_need_of_exactly_one_pack_takes_one(bench: Bench) -> None:
    item = bench.item("wax, test grade")
    assert bought(item, 1.0).packs == 1
    assert bought(item, 0.1 + 0.2 + 0.7).packs == 1
    assert bought(item, 1.000001).packs == 2
    assert bought(replace(item, stock=5.0), 1.0).packs == 0


@given(st.integers(1, 5000), st.integers(0, 5000), st.integers(1, 2000))
def test_there_is_always_enough_and_never_a_pack_too_many(need: int, have: int, pack: int) -> None:
    read = bench_of("bench", {"brief.toml": BRIEF, "shelf.csv": SHELF, "materials.toml": MATERIALS})
    assert isinstance(read, Bench)
    item = replace(read.item("oil, test grade"), stock=have / 1000, pack=pack / 1000)
    found = bought(item, need / 1000)
    assert have + found.packs * pack >= need
    assert found.packs == 0 or have + (found.packs - 1) * pack < need
    assert found.left == pytest.approx((have + found.packs * pack - need) / 1000)


def test_washes_are_those_of_the_brief_else_common_practice(bench: Bench) -> None:
    found = costing(bench, MASSES, 24)
    assert found.washes == (60.0, 100.0)
    assert found.washes_source is not None
    assert found.washes_source.kind is SourceKind.PRACTICE
    assert found.a_wash == (
        pytest.approx(found.a_bar / 100),
        pytest.approx(found.a_bar / 60),
    )
    portioning = replace(bench.brief.portioning, washes=(40.0, 50.0))
    own = replace(bench, brief=replace(bench.brief, portioning=portioning))
    assert costing(own, MASSES, 24).washes == (40.0, 50.0)
    assert costing(own, MASSES, 24).washes_source is None


def test_a_batch_of_no_bars_has_no_cost_a_bar(bench: Bench) -> None:
    with pytest.raises(ValueError, match="bar"):
        costing(bench, MASSES, 0)


@given(st.floats(0.01, 100), st.floats(-1, 0.95), st.floats(0, 0.3))
def test_the_margin_of_a_price_is_the_margin_it_was_made_for(
    cost: float, margin: float, tax: float
) -> None:
    price = price_at(cost, margin, tax)
    back = margin_at(cost, price.gross, tax)
    assert back.margin == pytest.approx(margin, abs=1e-9)
    assert price.left == pytest.approx(price.net - cost)
    assert price.left == pytest.approx(margin * price.net, abs=1e-9)


def test_a_price_list_holds_one_price_for_each_margin() -> None:
    prices = price_list(3.0, (0.0, 0.4, 0.5), 0.2)
    assert [price.gross for price in prices] == pytest.approx([3.6, 6.0, 7.2])


def test_margins_and_prices_that_mean_nothing_are_refused() -> None:
    for margin, tax in ((1.0, 0.0), (1.5, 0.0), (0.4, -0.1), (float("nan"), 0.0)):
        with pytest.raises(ValueError, match="margin"):
            price_at(3.0, margin, tax)
    for gross in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match="margin"):
            margin_at(3.0, gross)
