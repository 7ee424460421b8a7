"""Costs add up, packs are whole, and a price leaves the margin it was made for."""

from dataclasses import replace

import pytest
from barwright.constraints.bench.reading import bench_of
from barwright.constraints.model.brief import Bench, Composition
from barwright.constraints.values.problem import InputError, Problems, SourceKind
from barwright.workshop.price.asking import SaleTerms, margin_at, price_at, price_list
from barwright.workshop.price.beside import Beside, beside_of
from barwright.workshop.price.price import price
from barwright.workshop.price.pricing import bought, costing
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
    found = costing(bench, MASSES, 24, Beside(packaging_a_bar=0.25, labour=18.0))
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


@given(
    st.floats(0.01, 100),
    st.floats(-1, 0.8),
    st.floats(0, 0.3),
    st.floats(0, 0.1),
    st.floats(0, 0.5),
)
def test_the_margin_of_a_price_is_the_margin_it_was_made_for(
    cost: float, margin: float, tax: float, fees: float, fee: float
) -> None:
    terms = SaleTerms(tax=tax, fees=fees, fee_a_bar=fee)
    asked = price_at(cost, margin, terms)
    back = margin_at(cost, asked.gross, terms)
    assert back.margin == pytest.approx(margin, abs=1e-9)
    assert asked.fees == pytest.approx(fees * asked.gross + fee)
    assert asked.left == pytest.approx(asked.net - cost - asked.fees)
    assert asked.left == pytest.approx(margin * asked.net, abs=1e-9)


def test_a_price_list_holds_one_price_for_each_margin() -> None:
    prices = price_list(3.0, (0.0, 0.4, 0.5), SaleTerms(tax=0.2))
    assert [price.gross for price in prices] == pytest.approx([3.6, 6.0, 7.2])


def test_margins_and_prices_that_mean_nothing_are_refused() -> None:
    for margin, tax in ((1.0, 0.0), (1.5, 0.0), (0.4, -0.1), (float("nan"), 0.0)):
        with pytest.raises(ValueError, match="margin"):
            price_at(3.0, margin, SaleTerms(tax=tax))
    for gross in (0.0, -1.0, float("nan")):
        with pytest.raises(ValueError, match="margin"):
            margin_at(3.0, gross)


WORKS = BRIEF.replace(
    "[rules",
    """[workshop]
hours_a_batch = "2.5 h"
rate_an_hour = "18 EUR"
rejects = "4 %"
fees = "10 %"
fee_a_bar = "0.20 EUR"
tax = "20 %"
wholesale = "40 %"
[packaging."box"]
pack = 50
price = "15 EUR"
[packaging."label"]
pack = 1000
price = "40 EUR"
each = 2
[rules""",
    1,
)


def told(brief: str) -> Bench | Problems:
    return bench_of("bench", {"brief.toml": brief, "shelf.csv": SHELF, "materials.toml": MATERIALS})


def working(brief: str = WORKS) -> Bench:
    read = bench_of("bench", {"brief.toml": brief, "shelf.csv": SHELF, "materials.toml": MATERIALS})
    assert isinstance(read, Bench), read
    return read


def test_hours_packs_and_rejects_are_in_the_cost_of_a_bar_that_is_sold() -> None:
    """By hand: 60 boxes at 0.30 and 120 labels at 0.04 EUR, 2.5 h at 18 EUR; 57.6 bars sold."""
    found = costing(working(), MASSES, 60)
    assert found.packaging == pytest.approx(60 * 0.30 + 120 * 0.04)
    assert found.labour == pytest.approx(45.0)
    assert found.sold == pytest.approx(57.6)
    assert found.a_bar == pytest.approx((13.2 + 22.8 + 45.0) / 57.6)
    assert [(one.name, one.packs, one.money) for one in found.packs] == [
        ("box", 2, 30.0),
        ("label", 1, 40.0),
    ]
    bought_whole = sum(one.money for one in found.purchases) + 30.0 + 40.0 + 45.0
    assert found.outlay == pytest.approx(bought_whole)
    assert found.a_bar_bought == pytest.approx(bought_whole / 57.6)


def test_what_is_asked_for_goes_before_what_the_brief_says() -> None:
    bench = working()
    assert beside_of(bench).labour == pytest.approx(45.0)
    assert beside_of(bench, hours=3600.0).labour == pytest.approx(18.0)
    assert beside_of(bench, rate=20.0).labour == pytest.approx(50.0)
    assert beside_of(bench, labour=7.0, hours=3600.0).labour == 7.0
    assert beside_of(bench, packaging_a_bar=0.5).packaging_for(10) == pytest.approx(5.0)
    assert beside_of(bench, rejects=0.0).rejects == 0.0


def test_labour_of_a_batch_and_its_hours_are_not_both_stated() -> None:
    twice = WORKS.replace("rejects", 'labour_a_batch = "30 EUR"\nrejects', 1)
    found = bench_of(
        "bench", {"brief.toml": twice, "shelf.csv": SHELF, "materials.toml": MATERIALS}
    )
    assert isinstance(found, Problems)
    assert "labour of a batch and its hours" in [one.found for one in found.items]


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("pack = 50", "pack = 0", "packaging.box.pack"),
        ("pack = 50\n", "", "packaging.box"),
        ('price = "15 EUR"', 'price = "15 g"', "packaging.box.price"),
        ("each = 2", "each = 2.5", "packaging.label.each"),
    ],
)
def test_what_is_wrong_with_packaging_is_told_at_its_place(old: str, new: str, place: str) -> None:
    wrong = WORKS.replace(old, new, 1)
    found = bench_of(
        "bench", {"brief.toml": wrong, "shelf.csv": SHELF, "materials.toml": MATERIALS}
    )
    assert isinstance(found, Problems)
    assert any((one.where.place or "").endswith(place) for one in found.items), found


def test_a_shop_pays_less_and_its_order_bears_no_fees() -> None:
    """A net price of 10 EUR, 12 with 20 % tax: fees 1.20 + 0.20; a shop pays 6."""
    terms = SaleTerms(tax=0.2, fees=0.1, fee_a_bar=0.2, wholesale=0.4)
    found = margin_at(3.0, 12.0, terms)
    assert (found.net, found.gross, found.fees) == pytest.approx((10.0, 12.0, 1.4))
    assert found.left == pytest.approx(10.0 - 3.0 - 1.4)
    assert (found.shop_pays, found.shop_leaves) == pytest.approx((6.0, 3.0))


def test_fees_and_a_margin_that_take_the_whole_price_leave_none() -> None:
    with pytest.raises(ValueError, match="no price"):
        price_at(3.0, 0.9, SaleTerms(fees=0.1))


def test_one_call_prices_bars_and_says_which_rules_the_formula_breaks() -> None:
    bench = working()
    formula = Composition("half and half", {"oil, test grade": 0.5, "wax, test grade": 0.5})
    found = price(bench, formula, 60, fill=0.06)
    assert found.mix == pytest.approx(3.6)
    assert found.costs == costing(bench, dict.fromkeys(formula.parts, found.mix / 2), 60)
    assert [one.margin for one in found.prices] == pytest.approx([0.3, 0.4, 0.5, 0.6, 0.7])
    assert found.broken == ()
    strict = working(WORKS.replace('max = "100 %"', 'max = "10 %"'))
    assert [one.rule.id for one in price(strict, formula, 60, fill=0.06).broken] == ["any"]
    with pytest.raises(InputError, match="no market"):
        price(bench, formula, 60)


def test_high_fees_shorten_the_list_of_usual_margins_and_refuse_none_of_it() -> None:
    formula = Composition("half and half", {"oil, test grade": 0.5, "wax, test grade": 0.5})
    found = price(working(), formula, 60, fill=0.06, terms=SaleTerms(fees=0.45))
    assert [one.margin for one in found.prices] == pytest.approx([0.3, 0.4, 0.5])
    nothing = price(working(), formula, 60, fill=0.06, terms=SaleTerms(fees=0.95))
    assert nothing.prices == ()
