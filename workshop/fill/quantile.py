"""Quantiles for small numbers of weighings: normal, Student and chi-square.

For whole degrees of freedom the two distribution functions are finite sums, so that nothing here is
an approximation beyond rounding.
"""

from collections.abc import Callable
from math import atan, cos, erfc, exp, inf, pi, sin, sqrt
from statistics import NormalDist


def normal_quantile(p: float) -> float:
    """The value that a standard normal deviate stays below with probability ``p``.

    >>> round(normal_quantile(0.975), 3)
    1.96
    """
    return NormalDist().inv_cdf(p)


def student_quantile(p: float, freedom: int) -> float:
    """The value that Student's t stays below with probability ``p``.

    Args:
        p: between 0 and 1, both excluded.
        freedom: degrees of freedom, 1 or more.

    Raises:
        ValueError: outside these ranges.

    >>> round(student_quantile(0.995, 9), 3)
    3.25
    """
    _check(p, freedom)
    if p < 0.5:
        return -student_quantile(1 - p, freedom)
    return _inverse(lambda t: student_below(t, freedom), p)


def chi_square_quantile(p: float, freedom: int) -> float:
    """The value that chi-square stays below with probability ``p``.

    Args:
        p: between 0 and 1, both excluded.
        freedom: degrees of freedom, 1 or more.

    Raises:
        ValueError: outside these ranges.

    >>> round(chi_square_quantile(0.05, 9), 3)
    3.325
    """
    _check(p, freedom)
    return _inverse(lambda x: chi_square_below(x, freedom), p)


def student_below(t: float, freedom: int) -> float:
    """Probability that Student's t stays below ``t``, for ``t`` of 0 or more.

    Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, 26.7.3 and 26.7.4.
    """
    angle = atan(t / sqrt(freedom))
    odd = freedom % 2 == 1
    term = cos(angle) if odd else 1.0
    series = 0.0
    for k in range(3 if odd else 2, freedom + 1, 2):
        series += term
        term *= cos(angle) ** 2 * (k - 1) / k
    within = 2 / pi * (angle + sin(angle) * series) if odd else sin(angle) * series
    return 0.5 + within / 2


def chi_square_below(x: float, freedom: int) -> float:
    """Probability that chi-square stays below ``x``.

    Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, 26.4.4 and 26.4.5.
    """
    odd = freedom % 2 == 1
    term = sqrt(2 * x / pi) * exp(-x / 2) if odd else exp(-x / 2)
    above = erfc(sqrt(x / 2)) if odd else 0.0
    for k in range(3 if odd else 2, freedom + 1, 2):
        above += term
        term *= x / k
    return 1 - above


def _check(p: float, freedom: int) -> None:
    if not 0 < p < 1 or freedom < 1:
        raise ValueError(f"no quantile at p = {p} with {freedom} degrees of freedom")


def _inverse(below: Callable[[float], float], p: float) -> float:
    """Where a rising function of a value of 0 or more reaches ``p``, to the last digit."""
    low, high = 0.0, 1.0
    while below(high) < p and high < inf:
        low, high = high, 2 * high
    while low < (middle := (low + high) / 2) < high:
        low, high = (middle, high) if below(middle) < p else (low, middle)
    return high
