"""How much to press so that the declared net mass holds when the bar is sold."""

from dataclasses import replace
from math import sqrt
from statistics import NormalDist, stdev

import numpy as np
import pytest
from barwright.constraints.market.net_content import markets_with_net_content, net_content, practice
from barwright.constraints.model.brief import Balance, Bench, Brief, Portioning
from barwright.constraints.values.problem import Problems
from barwright.workshop.fill.demand import Demand, deviations
from barwright.workshop.fill.fill import Fill, Spread, fill, least_pressed
from barwright.workshop.fill.quantile import (
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
    needed = least_pressed(EU, 0.055, 0.02, Spread(0.001, 0), bars=50, risk=0.05)
    sold = {demand: NormalDist(mean * 0.98, 0.00098) for demand, mean in needed.items()}
    average = NormalDist(sold[Demand.AVERAGE].mean, 0.00098 / sqrt(50))
    assert average.cdf(0.055) == pytest.approx(0.05)
    assert sold[Demand.FEW_SHORT].cdf(0.055 - 0.0045) == pytest.approx(0.02)
    all_there = (1 - sold[Demand.NONE_FAR_SHORT].cdf(0.055 - 0.009)) ** 50
    assert all_there == pytest.approx(0.95)


def simulated(weighings: int, rules_market: str, trials: int = 40_000) -> dict[Demand, float]:
    """Share of trials in which each demand was met, each at its own least mean pressed."""
    rules, risk, bars, spread = net_content(rules_market), 0.05, 20, 1.0
    draw = np.random.default_rng(20261125)
    estimated = draw.normal(0.0, spread, (trials, max(weighings, 2))).std(axis=1, ddof=1)
    deviation = estimated if weighings else np.full(trials, spread)
    batch = draw.normal(0.0, spread, (trials, bars))
    lightest = batch.min(axis=1)
    above = {
        demand: deviations(demand, rules, weighings, bars, risk) * deviation for demand in Demand
    }
    share_short = np.array([NormalDist().cdf(-far) for far in above[Demand.FEW_SHORT]])
    return {
        Demand.AVERAGE: float((batch.mean(axis=1) + above[Demand.AVERAGE] >= 0).mean()),
        Demand.FEW_SHORT: float((share_short <= (rules.few or 0.0) + 1e-12).mean()),
        Demand.NONE_FAR_SHORT: float((lightest + above[Demand.NONE_FAR_SHORT] >= 0).mean()),
    }


def test_a_known_spread_meets_each_demand_as_often_as_stated() -> None:
    met = simulated(0, "EU")
    assert met[Demand.AVERAGE] == pytest.approx(0.95, abs=0.005)
    assert met[Demand.NONE_FAR_SHORT] == pytest.approx(0.95, abs=0.005)
    assert met[Demand.FEW_SHORT] == 1.0


@pytest.mark.parametrize("weighings", [3, 5, 12])
def test_a_spread_from_a_few_weighings_still_meets_each_demand_as_often_as_stated(
    weighings: int,
) -> None:
    met = simulated(weighings, "EU")
    assert met[Demand.AVERAGE] == pytest.approx(0.95, abs=0.005)
    assert met[Demand.FEW_SHORT] == pytest.approx(0.95, abs=0.005)
    assert met[Demand.NONE_FAR_SHORT] >= 0.948


def test_taking_an_estimated_spread_as_known_would_fall_short_more_often() -> None:
    """The reason for Student's quantile: with it three weighings meet the average as stated."""
    as_known = deviations(Demand.AVERAGE, EU, 0, 20, 0.05)
    assert deviations(Demand.AVERAGE, EU, 3, 20, 0.05) > 1.7 * as_known


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
