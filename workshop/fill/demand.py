"""How many deviations above the declared weight each demand of the law asks for."""

from enum import StrEnum
from math import expm1, log1p, sqrt

from ...constraints.market.net_content import (
    NetContent,
)
from .quantile import chi_square_quantile, normal_quantile, student_quantile


class Demand(StrEnum):
    """What a market asks of the bars of a batch."""

    AVERAGE = "average at least the declared mass"
    FEW_SHORT = "few bars beyond the tolerable shortfall"
    NONE_FAR_SHORT = "no bar far short"


def deviations(demand: Demand, rules: NetContent, weighings: int, bars: int, risk: float) -> float:
    """How many standard deviations the mean must lie above the limit of a demand.

    With a spread that is known these are normal quantiles. With one that is estimated from
    weighings they are larger: Student's quantile where the chance is taken over weighings and
    bars alike, and for the share of short bars the factor of a one-sided tolerance interval with
    the mean known, ``z·√(ν / χ²)``, which bounds that share with confidence ``1 - risk``.

    Bars of a batch that share one estimated spread fall short together more often than apart, so
    that the figure for "no bar" is on the safe side (Jensen's inequality).
    """
    if demand is Demand.FEW_SHORT:
        return _tolerance_factor(rules.few or 0.0, weighings, risk)
    if demand is Demand.AVERAGE:
        return _quantile(1 - risk, weighings) / sqrt(bars)
    one_bar = -expm1(log1p(-risk) / bars)
    return _quantile(1 - one_bar, weighings)


def _quantile(p: float, weighings: int) -> float:
    return normal_quantile(p) if weighings == 0 else student_quantile(p, weighings - 1)


def _tolerance_factor(share_below: float, weighings: int, risk: float) -> float:
    factor = normal_quantile(1 - share_below)
    if weighings == 0:
        return factor
    freedom = weighings - 1
    return factor * sqrt(freedom / chi_square_quantile(risk, freedom))
