"""How many deviations above the declared weight each demand of the law asks for.

What a maker wants to know is whether the next batch passes, so every figure here is a *prediction*
for so many bars to come, over the bars and over the weighings alike: G. J. Hahn and W. Q. Meeker,
*Statistical Intervals*, Wiley 1991, chapter 4 (the mean of m observations to come, at least k of m
of them; from memory). A bound on the share that is short in the long run is not enough: of batches
from a process with just 2 % of short bars a quarter or more have a larger share of them.
"""

from collections.abc import Callable
from enum import StrEnum
from functools import cache
from math import exp, floor, lgamma, log, sqrt
from statistics import NormalDist

from ...constraints.market.net_content import NetContent
from .quantile import (
    binomial_above,
    chi_square_quantile,
    normal_quantile,
    student_quantile,
)


class Demand(StrEnum):
    """What a market asks of the bars of a batch."""

    AVERAGE = "average at least the declared mass"
    FEW_SHORT = "few bars beyond the tolerable shortfall"
    NONE_FAR_SHORT = "no bar far short"


def deviations(demand: Demand, rules: NetContent, freedom: int, bars: int, risk: float) -> float:
    """How many standard deviations the mean must lie above the limit of a demand.

    Args:
        demand: what is asked.
        rules: of the market.
        freedom: degrees of freedom of the spread: weighings less the batches that they are from;
            0 for a spread that is known.
        bars: in a batch.
        risk: chance that a batch does not meet the demand.
    """
    if demand is Demand.AVERAGE:
        by_one = student_quantile(1 - risk, freedom) if freedom else normal_quantile(1 - risk)
        return by_one / sqrt(bars)
    allowed = floor((rules.few or 0.0) * bars + _WHOLE) if demand is Demand.FEW_SHORT else 0
    return _for_singles(allowed, bars, risk, freedom)


_WHOLE = 1e-9  # 2 % of 50 bars is one bar, whatever floats make of it


@cache
def _for_singles(allowed: int, bars: int, risk: float, freedom: int) -> float:
    """Deviations with which no more than so many bars of a batch lie below a limit."""
    if not freedom:
        share = _first(lambda p: binomial_above(allowed, bars, p) > risk, 0.0, 1.0)
        return -normal_quantile(share)
    ratios = _spread_ratios(freedom, risk)

    def missed(factor: float) -> float:
        below = NormalDist().cdf
        return sum(
            weight * binomial_above(allowed, bars, below(-factor * ratio))
            for ratio, weight in ratios
        )

    high = 1.0
    while missed(high) > risk:
        high *= 2
    return _first(lambda factor: missed(factor) <= risk, -high, high)


def _first(holds: Callable[[float], bool], low: float, high: float) -> float:
    """Where something that holds from some value on begins to hold."""
    while high - low > _FINE * max(abs(low), abs(high)):
        middle = (low + high) / 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


_FINE = 1e-9  # of a factor


def _spread_ratios(freedom: int, risk: float) -> list[tuple[float, float]]:
    """Estimated over true spread, and how likely: the chi distribution by the trapezium rule.

    In the logarithm of the ratio it dies away on both sides, where that rule is as good as exact.
    """
    ends = (risk * _BEYOND, 1 - _BEYOND)
    low, high = (log(chi_square_quantile(p, freedom) / freedom) / 2 for p in ends)
    wide = (high - low) / _POINTS
    level = log(2) + freedom / 2 * log(freedom / 2) - lgamma(freedom / 2)
    places = [low + wide * (n + 0.5) for n in range(_POINTS)]
    weights = [exp(level + freedom * u - freedom / 2 * exp(2 * u)) * wide for u in places]
    whole = sum(weights)
    return [(exp(u), weight / whole) for u, weight in zip(places, weights, strict=True)]


_POINTS = 240
_BEYOND = 1e-6  # of the chance that is left out at either end
