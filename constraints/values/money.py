"""Money: a sum with its currency, or a price for a mass, in the currency of a bench."""

import re
from collections.abc import Mapping

from ..data import data_of
from .dimension import Dimension, Misread, example
from .scales import EVERYDAY, canonical, scale_of

_CODE = re.compile(r"[A-Z]{3}")
Rates = Mapping[str, float]
"""Currency code -> how much of a bench's own currency one unit is; its own comes first, at 1."""


def own_currency(rates: Rates | None) -> str:
    """The currency of a bench, by its rates; that of the examples where they are not known."""
    return next(iter(rates or ()), "EUR")


def money(number: float, unit: str, rates: Rates | None) -> float | Misread:
    """A sum in the currency of the bench; without rates, in whatever currency it is.

    A bare figure is taken where the bench counts in one currency alone, and a sign such as $ where
    it stands for just one of those that the bench counts in.
    """
    code = _code(unit, rates)
    if isinstance(code, Misread):
        return code
    if rates is None:
        return number
    if code not in rates:
        own = own_currency(rates)
        return Misread(unit, f'{own}, or a rate in brief.toml: [rates] {code} = "… {own}"')
    return number * rates[code]


def price(number: float, unit: str, rates: Rates | None) -> float | Misread:
    """A price for a kilogram in the currency of the bench."""
    currency, _, mass = unit.partition("/")
    wrong = Misread(unit, example(Dimension.PRICE, own_currency(rates)))
    sum_of_money = money(number, currency, rates)
    if isinstance(sum_of_money, Misread):
        return sum_of_money if mass and currency else wrong
    one = canonical(1.0, mass, Dimension.MASS) if mass else 0.0
    if isinstance(one, Misread):
        near = tuple(f"{number:.15g} {currency}/{as_read[2:]}" for as_read in one.nearest)
        return Misread(unit, wrong.expected, near)
    if not one:
        return wrong
    everyday = EVERYDAY[Dimension.MASS]
    return sum_of_money * everyday[mass] if mass in everyday else sum_of_money / one


def money_scale(unit: str) -> float | None:
    """What a canonical figure is multiplied by to be shown in a unit of money, else ``None``.

    Raises:
        KeyError: for a price by what is no mass.
    """
    if _CODE.fullmatch(unit):
        return 1
    if not _CODE.match(unit) or unit[3:4] != "/":
        return None
    if isinstance(canonical(1.0, unit[4:], Dimension.MASS), Misread):
        raise KeyError(unit)
    return 1 / scale_of(unit[4:])


def _code(unit: str, rates: Rates | None) -> str | Misread:
    """The currency that a text means."""
    if _CODE.fullmatch(unit):
        return unit
    wrong = example(Dimension.MONEY, own_currency(rates))
    if not unit and rates is not None:
        return own_currency(rates) if len(rates) == 1 else Misread(unit, wrong, tuple(rates))
    codes: list[str] = data_of("currencies.toml")["signs"].get(unit, [])
    meant = [code for code in codes if rates is None or code in rates]
    if len(meant) == 1 or (meant and rates is None):
        return meant[0]
    if codes:
        return Misread(unit, f"the currency by its code: {' or '.join(meant or codes)}")
    near = (unit.upper(),) if _CODE.fullmatch(unit.upper()) else ()
    return Misread(unit, wrong, near)
