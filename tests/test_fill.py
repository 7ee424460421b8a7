"""How much to press so that the declared net mass holds when the bar is sold."""

from dataclasses import replace
from fractions import Fraction
from math import comb, sqrt
from statistics import NormalDist, stdev

import numpy as np
import pytest
from barwright.constraints.market.net_content import markets_with_net_content, net_content, practice
from barwright.constraints.model.brief import Balance, Bench, Brief, Portioning
from barwright.constraints.values.problem import Problems
from barwright.workshop.fill.demand import Demand, deviations
from barwright.workshop.fill.fill import Fill, Spread, fill, least_pressed
from barwright.workshop.fill.quantile import (
    binomial_above,
    chi_square_below,
    chi_square_quantile,
    student_below,
    student_quantile,
)
from hypothesis import given
from hypothesis import strategies as st

EU, AU, US = net_content("EU"), net_content("AU"), net_content("US")

# (nominal, tolerable shortfall) [g], from the table of Directive 76/211/EEC, Annex I point 2.4,
# with a figure worked out from a percentage rounded up to the next 0.1 g.
EU_EXAMPLES = [
    (15, 1.4), (25, 2.3), (33, 3.0), (45, 4.1), (50, 4.5), (55, 4.5), (60, 4.5), (65, 4.5),
    (70, 4.5), (75, 4.5), (80, 4.5), (85, 4.5), (90, 4.5), (95, 4.5), (100, 4.5), (110, 5.0),
    (120, 5.4), (125, 5.7), (150, 6.8), (200, 9.0), (250, 9.0), (300, 9.0), (350, 10.5),
    (400, 12.0), (500, 15.0), (1000, 15.0),
]  # fmt: skip


def bench(
    declared: float | None = 0.055, drying: float = 0.02, spread: float | None = 0.0006
) -> Bench:
    balances = (Balance("fine", 0.0001, 0.3, 0.0005), Balance("kitchen", 0.001, 5.0, 0.005))
    portioning = Portioning(declared, drying, 0.0, spread, None)
    brief = Brief("a bar", "EUR", ("EU",), 0.1, (), balances, portioning, 21.0)
    return Bench("bench", brief, (), {})


def filled(made: Bench, market: str = "EU", **said: object) -> Fill:
    found = fill(made, market, **{"bars": 50, **said})  # type: ignore[arg-type]
    assert isinstance(found, Fill)
    return found


@pytest.mark.reference
@pytest.mark.parametrize(("nominal", "tolerable"), EU_EXAMPLES)
def test_the_tolerable_shortfall_is_that_of_the_directive(nominal: int, tolerable: float) -> None:
    assert EU.tolerable_shortfall(nominal / 1000) == pytest.approx(tolerable / 1000, abs=1e-9)


@pytest.mark.reference
@pytest.mark.parametrize(
    ("nominal", "tolerable"), [(85, 7.2), (113, 7.2), (55, 5.4), (50, 3.6), (30, 3.0), (100, 7.2)]
)
def test_the_american_shortfall_is_that_of_the_table(nominal: int, tolerable: float) -> None:
    """NIST Handbook 133, Table 2-5; 113 g and 85 g (0.016 lb, 7.26 g) read in two other places."""
    assert US.tolerable_shortfall(nominal / 1000) == pytest.approx(tolerable / 1000, abs=1e-9)


@pytest.mark.reference
def test_in_australia_no_article_is_short_by_more_than_one_twentieth() -> None:
    """National Measurement Institute, guide to the average quantity system."""
    assert AU.tolerable_shortfall(0.06) == pytest.approx(0.003)
    assert AU.few is None


def test_a_mass_declared_for_packing_is_not_asked_of_the_drier_bar_that_is_sold() -> None:
    made = bench(declared=0.06, drying=0.03)
    packed = replace(made.brief.portioning, dried_when_packed=0.01)
    early = replace(made, brief=replace(made.brief, portioning=packed))
    assert filled(early).needed[Demand.AVERAGE] == pytest.approx(
        filled(bench(declared=0.06, drying=0.01)).needed[Demand.AVERAGE]
    )
    assert filled(early).pressed < filled(made).pressed


def test_where_ounces_are_printed_too_the_larger_figure_is_filled() -> None:
    found = filled(bench(declared=0.06), "US")  # printed as 2.12 oz, which are 60.10 g
    assert found.declared == pytest.approx(2.12 * 0.028349523125)


@given(st.integers(51, 500), st.sampled_from([0.0, 1e-12, -1e-12]))
def test_a_percentage_is_rounded_up_to_the_next_tenth_of_a_gram(tenths: int, noise: float) -> None:
    """Counted in whole thousandths of a gram, where no float noise can round a tenth away."""
    tolerable = EU.tolerable_shortfall(tenths / 10_000 + noise)
    assert tolerable is not None
    assert round(tolerable * 1e4) == -(-tenths * 9 // 100)


def test_a_mass_outside_the_table_has_no_tolerable_shortfall() -> None:
    assert EU.tolerable_shortfall(0.004) is None
    assert US.tolerable_shortfall(2.0) is None


# NIST/SEMATECH e-Handbook of Statistical Methods, tables 1.3.6.7.2 (upper critical values of
# Student's t) and 1.3.6.7.4 (lower critical values of chi-square).
STUDENT = [
    (1, 0.95, 6.314), (2, 0.99, 6.965), (3, 0.995, 5.841), (4, 0.99, 3.747), (5, 0.975, 2.571),
    (9, 0.995, 3.250), (10, 0.90, 1.372), (11, 0.995, 3.106), (19, 0.999, 3.579),
    (29, 0.95, 1.699), (60, 0.99, 2.390), (100, 0.975, 1.984),
]  # fmt: skip
CHI_SQUARE = [
    (2, 0.05, 0.103), (3, 0.01, 0.115), (4, 0.05, 0.711), (5, 0.025, 0.831), (9, 0.05, 3.325),
    (9, 0.01, 2.088), (10, 0.10, 4.865), (19, 0.01, 7.633), (29, 0.05, 17.708),
    (60, 0.025, 40.482), (100, 0.05, 77.929),
]  # fmt: skip


@pytest.mark.reference
@pytest.mark.parametrize(("freedom", "p", "published"), STUDENT)
def test_students_quantiles_are_those_of_the_published_table(
    freedom: int, p: float, published: float
) -> None:
    assert student_quantile(p, freedom) == pytest.approx(published, abs=0.0006)


@pytest.mark.reference
@pytest.mark.parametrize(("freedom", "p", "published"), CHI_SQUARE)
def test_chi_square_quantiles_are_those_of_the_published_table(
    freedom: int, p: float, published: float
) -> None:
    assert chi_square_quantile(p, freedom) == pytest.approx(published, abs=0.0006)


@given(st.integers(1, 80), st.floats(0.0005, 0.9999))
def test_quantiles_undo_the_distribution_functions(freedom: int, p: float) -> None:
    t = student_quantile(p, freedom)
    below = student_below(abs(t), freedom)
    assert (below if t >= 0 else 1 - below) == pytest.approx(p, abs=1e-9)
    assert chi_square_below(chi_square_quantile(p, freedom), freedom) == pytest.approx(p, abs=1e-9)


@pytest.mark.parametrize(("p", "freedom"), [(0.0, 3), (1.0, 3), (0.5, 0)])
def test_there_is_no_quantile_outside_its_range(p: float, freedom: int) -> None:
    with pytest.raises(ValueError, match="no quantile"):
        student_quantile(p, freedom)
    with pytest.raises(ValueError, match="no quantile"):
        chi_square_quantile(p, freedom)


@pytest.mark.parametrize("market", markets_with_net_content())
def test_without_any_spread_the_declared_mass_and_the_drying_are_pressed(market: str) -> None:
    found = filled(bench(spread=0.0), market)
    assert found.pressed == pytest.approx(0.055 / 0.98)
    assert found.binding is Demand.AVERAGE
    assert found.for_doubt == 0


def test_the_average_binds_a_steady_hand_and_single_bars_bind_a_shaky_one() -> None:
    assert filled(bench(spread=0.0006)).binding is Demand.AVERAGE
    assert filled(bench(spread=0.003)).binding is Demand.FEW_SHORT
    assert filled(bench(spread=0.003), "AU").binding is Demand.NONE_FAR_SHORT
    assert Demand.FEW_SHORT not in filled(bench(), "US").needed


def test_each_demand_is_met_at_its_own_limit() -> None:
    """Of 50 bars, 2 % is one: no more than that may be short, in 95 batches of a hundred."""
    needed = least_pressed(EU, 0.055, 0.02, Spread(0.001, 0), bars=50, risk=0.05)
    sold = {demand: NormalDist(mean * 0.98, 0.00098) for demand, mean in needed.items()}
    average = NormalDist(sold[Demand.AVERAGE].mean, 0.00098 / sqrt(50))
    assert average.cdf(0.055) == pytest.approx(0.05)
    short = sold[Demand.FEW_SHORT].cdf(0.055 - 0.0045)
    one_at_most = (1 - short) ** 50 + 50 * short * (1 - short) ** 49
    assert one_at_most == pytest.approx(0.95)
    all_there = (1 - sold[Demand.NONE_FAR_SHORT].cdf(0.055 - 0.009)) ** 50
    assert all_there == pytest.approx(0.95)


MARKETS = markets_with_net_content()
TRIALS = 60_000


def missed(
    market: str, weighings: int, bars: int, risk: float, batches: int = 1
) -> dict[Demand, float]:
    """Share of batches that miss each demand, pressed as little as it asks for.

    Each trial weighs some bars, estimates the spread within their batches, presses a batch by it,
    dries it, and looks at it as the market does: its mean, how many of its bars are short by more
    than the table allows, and whether any is far short.
    """
    rules, declared, drying, spread = net_content(market), 0.06, 0.03, 0.0012
    draw = np.random.default_rng(20261125)
    if weighings:
        each = draw.normal(0.0, spread, (TRIALS, batches, weighings // batches))
        apart = each - each.mean(axis=2, keepdims=True)
        freedom = weighings - batches
        estimated = np.sqrt((apart**2).sum(axis=(1, 2)) / freedom)
    else:
        estimated, freedom = np.full(TRIALS, spread), 0
    tolerable = rules.tolerable_shortfall(declared) or 0.0
    limits = {
        Demand.AVERAGE: declared,
        Demand.FEW_SHORT: declared - tolerable,
        Demand.NONE_FAR_SHORT: declared - rules.none_times * tolerable,
    }
    pressed = draw.normal(0.0, spread, (TRIALS, bars))
    found = {}
    for demand, limit in limits.items():
        if demand is Demand.FEW_SHORT and rules.few is None:
            continue
        far = deviations(demand, rules, freedom, bars, risk)
        sold = (limit / (1 - drying) + far * estimated[:, None] + pressed) * (1 - drying)
        if demand is Demand.AVERAGE:
            found[demand] = (sold.mean(axis=1) < limit).mean()
        else:
            allowed = int((rules.few or 0.0) * bars + 1e-9) if demand is Demand.FEW_SHORT else 0
            found[demand] = ((sold < limit).sum(axis=1) > allowed).mean()
    return {demand: float(share) for demand, share in found.items()}


@pytest.mark.reference
@pytest.mark.parametrize("market", MARKETS)
@pytest.mark.parametrize(
    ("weighings", "batches", "bars"),
    [(0, 1, 12), (0, 1, 50), (0, 1, 120), (5, 1, 12), (12, 1, 12), (12, 1, 60), (12, 4, 50)],
)
def test_of_simulated_batches_no_more_miss_a_demand_than_stated(
    market: str, weighings: int, batches: int, bars: int
) -> None:
    """The rules are those of the market's table; the batches are drawn, with a fixed seed."""
    risk = 0.02
    noise = 4 * sqrt(risk * (1 - risk) / TRIALS)
    for demand, share in missed(market, weighings, bars, risk, batches).items():
        assert share == pytest.approx(risk, abs=noise), demand


def test_a_spread_of_several_batches_is_known_less_well_than_of_one() -> None:
    """Each batch has a mean of its own, which takes a degree of freedom."""
    weighed = WEIGHINGS * 2
    one, four = filled(bench(), weighings=weighed), filled(bench(), weighings=weighed, batches=4)
    assert (one.spread.freedom, four.spread.freedom) == (9, 6)
    assert four.pressed > one.pressed


@pytest.mark.reference
@pytest.mark.parametrize(("freedom", "p", "published"), STUDENT)
def test_of_one_bar_the_figure_is_students(freedom: int, p: float, published: float) -> None:
    """NIST/SEMATECH e-Handbook, table 1.3.6.7.2: one bar to come, its spread estimated."""
    far = deviations(Demand.NONE_FAR_SHORT, EU, freedom, 1, round(1 - p, 9))
    assert far == pytest.approx(published, abs=0.0006)


@given(st.integers(1, 300), st.data())
def test_counts_are_those_of_the_binomial_sum(of: int, data: st.DataObject) -> None:
    count = data.draw(st.integers(0, of))
    chance = data.draw(st.sampled_from([0.0, 1e-6, 0.003, 0.02, 0.3, 0.5, 0.97, 1.0]))
    exact = Fraction(chance)
    below = sum(comb(of, n) * exact**n * (1 - exact) ** (of - n) for n in range(count + 1))
    assert binomial_above(count, of, chance) == pytest.approx(float(1 - below), rel=1e-9, abs=1e-12)


def test_there_is_no_count_below_nothing_and_no_chance_beyond_one() -> None:
    with pytest.raises(ValueError, match="no probability"):
        binomial_above(-1, 4, 0.5)
    with pytest.raises(ValueError, match="no probability"):
        binomial_above(1, 4, 1.5)


def test_a_few_weighings_never_ask_for_a_bar_of_twice_the_weight() -> None:
    """Two once gave 132.7 g for 60 g; of so few no spread is taken any more."""
    made = bench(declared=0.06, spread=None)
    two = fill(made, "EU", bars=12, weighings=(0.0612, 0.0626))
    assert isinstance(two, Problems)
    assert "at least 5 weighings" in two.items[0].expected
    five = filled(made, bars=12, weighings=(0.0612, 0.0626, 0.0619, 0.0622, 0.0615))
    assert five.set_to < 0.065


WEIGHINGS = (0.0561, 0.0574, 0.0568, 0.0566, 0.0579)


def test_weighings_go_before_the_brief_and_few_of_them_are_said_to_be_few() -> None:
    found = filled(bench(spread=0.0001), weighings=WEIGHINGS)
    assert found.spread == Spread(stdev(WEIGHINGS), 5)
    assert found.spread.poorly_known
    assert found.for_doubt > 0
    assert not filled(bench(), weighings=WEIGHINGS * 2).spread.poorly_known
    assert not filled(bench()).spread.poorly_known


def test_doubt_costs_what_a_known_spread_of_the_same_size_would_save() -> None:
    doubtful = filled(bench(), weighings=WEIGHINGS)
    known = filled(bench(spread=stdev(WEIGHINGS)))
    assert doubtful.for_doubt == pytest.approx(doubtful.pressed - known.pressed)


def test_the_fill_is_rounded_up_to_a_step_of_the_finest_balance_that_carries_it() -> None:
    found = filled(bench())
    assert 0 <= found.set_to - found.pressed < 0.0001
    assert found.set_to * 1e4 == pytest.approx(round(found.set_to * 1e4), abs=1e-6)
    exact = bench(declared=0.05, drying=0.0, spread=0.0)
    assert filled(exact).set_to == pytest.approx(0.05)
    heavy = filled(bench(declared=0.4))
    assert heavy.set_to * 1e3 == pytest.approx(round(heavy.set_to * 1e3), abs=1e-6)


def test_the_flat_margin_is_compared_and_what_is_given_away_is_priced() -> None:
    found = filled(bench(), cost_per_kg=8.0, bars_a_year=2000)
    assert practice().source.citation == "common practice, no source"
    assert found.flat == pytest.approx(0.060)
    assert not found.flat_breaks
    assert found.saved_a_bar == pytest.approx(0.060 - found.set_to)
    assert found.saved_a_year == pytest.approx(found.saved_a_bar * 8.0 * 2000)
    assert found.given_away == pytest.approx(found.set_to - 0.055 / 0.98)
    assert found.given_away_a_year == pytest.approx(found.given_away * 8.0 * 2000)
    assert filled(bench()).saved_a_year is None


def test_a_flat_margin_that_is_too_small_is_said_to_be() -> None:
    found = filled(bench(drying=0.10))
    assert found.flat_breaks == (Demand.AVERAGE,)
    assert found.saved_a_bar < 0


def test_everything_that_is_wrong_is_reported_at_once() -> None:
    found = fill(bench(declared=None, spread=None), "XX", bars=0, risk=0.7)
    assert isinstance(found, Problems)
    assert [problem.where.place for problem in found.items] == [
        "product.markets",
        "bars",
        "risk",
        "product.declared",
        "product.spread",
    ]


@pytest.mark.parametrize("weighings", [(0.057,), (0.057, 0.057, 0.057), (0.057, -0.058)])
def test_weighings_that_tell_no_spread_are_refused(weighings: tuple[float, ...]) -> None:
    assert isinstance(fill(bench(), "EU", bars=50, weighings=weighings), Problems)


def test_a_declared_mass_outside_the_table_is_refused() -> None:
    found = fill(bench(declared=0.003), "EU", bars=50)
    assert isinstance(found, Problems)
    assert found.items[0].found == "3 g"


@given(
    st.sampled_from(markets_with_net_content()),
    st.floats(0.02, 0.3),
    st.floats(0.0, 0.2),
    st.floats(0.0, 0.004),
    st.integers(1, 500),
)
def test_more_spread_more_drying_or_less_risk_never_asks_for_less(
    market: str, declared: float, drying: float, spread: float, bars: int
) -> None:
    made = bench(declared, drying, spread)
    portioning = made.brief.portioning
    base = filled(made, market, bars=bars, risk=0.05).pressed

    def changed(**said: float) -> Bench:
        return replace(made, brief=replace(made.brief, portioning=replace(portioning, **said)))

    assert filled(changed(spread=spread * 1.2), market, bars=bars, risk=0.05).pressed >= base
    assert filled(changed(drying=drying + 0.01), market, bars=bars, risk=0.05).pressed > base
    assert filled(made, market, bars=bars, risk=0.01).pressed >= base
    assert base * (1 - drying) >= declared - 1e-12


def test_a_spread_of_so_many_bars_is_as_doubtful_as_their_weighings() -> None:
    made = bench(spread=stdev(WEIGHINGS))
    portioning = replace(made.brief.portioning, spread_from=len(WEIGHINGS))
    said = replace(made, brief=replace(made.brief, portioning=portioning))
    assert filled(said).pressed == pytest.approx(filled(bench(), weighings=WEIGHINGS).pressed)
    assert filled(said).pressed > filled(made).pressed


def test_each_batch_that_weighings_are_from_takes_one_more_of_them() -> None:
    six = (*WEIGHINGS, 0.0570)
    assert isinstance(fill(bench(), "EU", bars=50, weighings=six, batches=3), Problems)
    assert isinstance(fill(bench(), "EU", bars=50, weighings=six, batches=2), Fill)
