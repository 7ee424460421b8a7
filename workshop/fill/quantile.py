"""Quantiles for small numbers of weighings: normal, Student and chi-square, and counts of bars.

For whole degrees of freedom Student's and the chi-square distribution are finite sums, and counts
are an incomplete beta function, so that nothing here is an approximation beyond rounding.
"""

from collections.abc import Callable
from math import atan, cos, erfc, exp, expm1, inf, lgamma, log, log1p, pi, sin, sqrt
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


def binomial_above(count: int, of: int, chance: float) -> float:
    """Probability that more than ``count`` of so many happen, each with the same chance.

    It is the incomplete beta function ``I(chance; count + 1, of - count)``, Abramowitz and Stegun
    6.6.4, by their continued fraction 26.5.8.

    Raises:
        ValueError: for a count or a chance outside its range.

    >>> round(binomial_above(1, 4, 0.5), 4)
    0.6875
    """
    if not count >= 0 or not 0.0 <= chance <= 1.0:
        raise ValueError(f"no probability of more than {count} of {of} at {chance}")
    if count >= of or chance == 0.0:
        return 0.0
    if chance == 1.0:
        return 1.0
    if count == 0:
        return -expm1(of * log1p(-chance))
    a, b = count + 1, of - count
    if chance > (a + 1) / (a + b + 2):
        return 1.0 - _beta_part(b, a, 1.0 - chance)
    return _beta_part(a, b, chance)


def _beta_part(a: int, b: int, x: float) -> float:
    """``I(x; a, b)`` where its continued fraction converges fast, from the top down (Lentz)."""
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x)) / a
    upper, lower = 1.0, 1.0 / (1.0 - (a + b) * x / (a + 1) or _TINY)
    value = lower
    for step in range(2, _MOST_STEPS):
        m, odd = divmod(step, 2)
        top = -(a + m) * (a + b + m) if odd else m * (b - m)
        term = top * x / ((a + step - 1) * (a + step))
        lower = 1.0 / (1.0 + term * lower or _TINY)
        upper = 1.0 + term / upper or _TINY
        value *= upper * lower
        if abs(1.0 - upper * lower) < _LAST_DIGIT:
            break
    return front * value


_MOST_STEPS = 10_000
_TINY, _LAST_DIGIT = 1e-300, 1e-14


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
