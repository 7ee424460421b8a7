"""Multipliers of rows, from the basis on which a run of the simplex method ended."""

from fractions import Fraction

from .exact import (
    Stand,
    basic_row,
)
from .scaled import Exact, Values


def farkas(exact: Exact, stuck: tuple[int, bool], stand: Stand) -> Values:
    """Multipliers over the rows' activities that show no point can free a stuck variable."""
    variable, rises = stuck
    width = exact.width
    row = basic_row(exact, stand, variable)
    # x_v − Σ row[j]·x_j is 0 for every x: its part over the rows is the certificate.
    numbers = [0] * width + [-number for number in row.numbers[width:]]
    if variable >= width:
        numbers[variable] = row.over
    sign = 1 if rises else -1
    return Values(tuple(sign * number for number in numbers), row.over)


def row_prices(exact: Exact, reduced: Values, scale: int) -> tuple[Fraction, ...]:
    """Multipliers over the program's own rows, from values in the scaled rows."""
    width, prices = exact.width, [Fraction(0)] * exact.height
    for i, k in enumerate(exact.kept):
        value = int(reduced.numbers[width + i]) * exact.row_scales[i]
        prices[k] = Fraction(value, int(reduced.over) * scale)
    return tuple(prices)
