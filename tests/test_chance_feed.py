"""Cattle feed whose protein is uncertain, against the published chance-constrained optimum.

C. van de Panne and W. Popp, "Minimum-cost cattle feed under probabilistic protein constraints",
Management Science 9 (1963) 405-430; figures and optimum as in W. Hock and K. Schittkowski, Test
Examples for Nonlinear Programming Codes (1981), problem 73: 29.8943781573 at 95 %.
"""

from math import erf, sqrt

import pytest
from barwright import cheapest
from barwright.constraints.model.uncertainty import Uncertainty
from barwright.constraints.rules.holding import holding
from blends import bench, material, share_of

pytestmark = pytest.mark.reference

PUBLISHED = 29.8943781573
Z = 1.645
FEEDS = {  # price, protein mean, protein variance, fat, in the units of the paper
    "barley": (24.55, 12.0, 0.28, 2.3),
    "oats": (26.75, 11.9, 0.19, 5.6),
    "sesame": (39.0, 41.8, 20.5, 11.1),
    "ground meal": (40.5, 52.1, 0.62, 1.3),
}


def feed():
    rules = [share_of("Protein", low=0.21), share_of("Fat", low=0.05)]
    shelf = [_feed(name, *figures[1:]) for name, figures in FEEDS.items()]
    return bench(shelf, [figures[0] for figures in FEEDS.values()], rules)


def _feed(name, mean, variance, fat):
    apart, rest = Z * sqrt(variance) / 100, 1 - (mean + fat) / 100
    protein = mean / 100
    return material(
        name,
        {
            "Protein": (protein - apart, protein, protein + apart),
            "Fat": fat / 100,
            "Rest": (rest - apart, rest, rest + apart),
        },
    )


def sureness(parts):
    """How likely the protein is enough, independent and normal as the paper takes it."""
    mean = sum(FEEDS[name][1] * share for name, share in parts.items())
    deviation = sqrt(sum(FEEDS[name][2] * share**2 for name, share in parts.items()))
    return 0.5 * (1.0 + erf((mean - 21.0) / deviation / sqrt(2.0)))


def test_means_alone_are_too_cheap_and_every_worst_at_once_too_dear():
    plain = cheapest(feed())
    sure = cheapest(holding(feed(), Uncertainty()))
    assert plain.cost < PUBLISHED < sure.cost
    assert sureness(plain.composition.parts) == pytest.approx(0.5, abs=1e-6)
    assert sureness(sure.composition.parts) > 0.95


def test_ranges_drawn_in_until_it_is_95_per_cent_sure_come_to_the_published_optimum():
    """One material carries nearly all the spread, so that one scale for all loses little."""
    low, high = 0.0, 1.0
    for _ in range(40):
        scale = (low + high) / 2
        found = cheapest(holding(feed(), Uncertainty(scale=scale)))
        enough = sureness(found.composition.parts) >= 0.5 * (1.0 + erf(Z / sqrt(2.0)))
        low, high = (low, scale) if enough else (scale, high)
    found = cheapest(holding(feed(), Uncertainty(scale=high)))
    assert PUBLISHED - 1e-6 <= found.cost <= 1.002 * PUBLISHED
