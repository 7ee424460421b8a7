"""Units: text -> a float in the canonical unit of its dimension, and back.

The one place that knows pint. Units that the trade writes every day stand in a small table, so that
pint, which takes longer to load than a bench to read, is loaded for the unusual ones alone.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from math import isfinite
from typing import Any


class Dimension(StrEnum):
    """What a figure measures; each is held in one canonical unit."""

    SHARE = "a share"
    MASS = "a mass"
    MONEY = "a sum of money"
    PRICE = "a price for a mass"
    ALKALINITY = "an amount in a mass"
    TEMPERATURE = "a temperature"
    MOLAR_MASS = "a molar mass"
    HEAT = "a heat capacity"
    LATENT = "a heat of melting"
    DENSITY = "a density"
    VOLUME = "a volume"
    TIME = "a time"
    PH = "a pH"
    RATIO = "a plain number"


@dataclass(frozen=True, slots=True)
class Misread:
    """A text that gives no figure: what was found, and what would be right."""

    found: str
    expected: str


_TABLE: Mapping[Dimension, Mapping[str, float]] = {
    # how many of the unit make one of the canonical unit, which comes first
    Dimension.SHARE: {"kg/kg": 1, "%": 100, "g/kg": 1000},
    Dimension.MASS: {"kg": 1, "g": 1000, "mg": 1e6, "t": 1e-3},
    Dimension.ALKALINITY: {"mol/kg": 1, "mmol/kg": 1000, "mmol/g": 1},
    Dimension.TEMPERATURE: {"degC": 1},
    Dimension.MOLAR_MASS: {"g/mol": 1, "kg/mol": 1e-3},
    Dimension.HEAT: {"kJ/kg/K": 1, "J/g/K": 1, "J/kg/K": 1000},
    Dimension.LATENT: {"kJ/kg": 1, "J/g": 1, "J/kg": 1000},
    Dimension.DENSITY: {"kg/L": 1, "g/mL": 1, "g/L": 1000},
    Dimension.VOLUME: {"L": 1, "mL": 1000},
    Dimension.TIME: {"s": 1, "min": 1 / 60, "h": 1 / 3600},
    Dimension.PH: {"": 1, "pH": 1},
    Dimension.RATIO: {"": 1, "kg/kg": 1, "g/g": 1},
}

_SENSIBLE: Mapping[Dimension, tuple[float, float, str]] = {
    # least, most, and how to write one; wide enough that only a slip falls outside
    Dimension.SHARE: (0, 1, "a share from 0 % to 100 %, such as 45 %"),
    Dimension.MASS: (0, 1e6, "a mass such as 250 g or 1 kg"),
    Dimension.MONEY: (0, 1e9, "a sum with its currency, such as 18.50 EUR"),
    Dimension.PRICE: (0, 1e6, "a price for a mass, such as 7.20 EUR/kg"),
    Dimension.ALKALINITY: (-100, 100, "an amount in a mass, such as 0.02 mol/kg"),
    Dimension.TEMPERATURE: (-50, 400, "a temperature such as 75 degC"),
    Dimension.MOLAR_MASS: (1, 1e7, "a molar mass such as 144.1 g/mol"),
    Dimension.HEAT: (0, 20, "a heat capacity such as 2.1 kJ/kg/K"),
    Dimension.LATENT: (0, 2000, "a heat of melting such as 180 kJ/kg"),
    Dimension.DENSITY: (0.01, 25, "a density such as 0.95 kg/L"),
    Dimension.VOLUME: (0, 1e6, "a volume such as 75 mL"),
    Dimension.TIME: (0, 1e9, "a time such as 30 min"),
    Dimension.PH: (0, 14, "a pH from 0 to 14, such as 5.5"),
    Dimension.RATIO: (0, 1e6, "a plain number such as 1.5"),
}

_SPELT = str.maketrans(
    {
        "\u00a0": " ",  # no-break space
        "\u202f": " ",  # narrow no-break space
        "\u2009": " ",  # thin space
        "\u2212": "-",  # minus sign
        "\u00b5": "u",  # micro sign
        "\u03bc": "u",  # Greek mu
        "\u00b7": "*",  # middle dot
        "\u22c5": "*",  # dot operator
        "\u00b2": "^2",
        "\u00b3": "^3",
        "℃": "degC",
        "℉": "degF",
        "€": "EUR",
        "£": "GBP",
        "°": "deg",
    }
)
_FIGURE = re.compile(r"([+-]?[0-9][0-9.,]*(?:[eE][+-]?[0-9]+)?|[+-]?\.[0-9]+)\s*(.*)", re.DOTALL)
_GROUPED = re.compile(r"[+-]?[0-9]{1,3}(?:(?:\.[0-9]{3})+,|(?:,[0-9]{3})+\.)[0-9]+")
_UNIT = re.compile(r"[A-Za-z%]+(?:\^[23]|[23])?(?:[*/]\(?[A-Za-z%]+(?:\^[23]|[23])?\)?)*")
_CURRENCY = re.compile(r"[A-Z]{3}")
_CURRENCY_FIRST = re.compile(r"([A-Z]{3})\s*([+-]?[0-9].*)", re.DOTALL)


def parse(
    text: str, dimension: Dimension, rates: Mapping[str, float] | None = None
) -> float | Misread:
    """Read a figure with its unit.

    Args:
        text: as the maker wrote it: "45 %", "18,50 EUR", "75 °C".
        dimension: what it must measure.
        rates: currency code -> how much of the bench's currency one unit of it is, the bench's own
            currency first, at 1. ``None`` takes any currency at its face: only the form counts.

    Returns:
        The figure in the canonical unit of the dimension [kg, kg/kg, money, money/kg, mol/kg, °C,
        g/mol, kJ/(kg·K), kJ/kg, kg/L, L, s, pH, 1], or what is wrong with the text.

    >>> parse("45 %", Dimension.SHARE)
    0.45
    >>> parse("45", Dimension.SHARE)
    Misread(found='45', expected='a unit: write 45 %')
    """
    figure, unit = split(text)
    number = _number(figure, dimension)
    if isinstance(number, Misread):
        return number if figure else Misread(shown(text), _example(dimension))
    value = _canonical(number, unit, dimension, rates)
    if isinstance(value, Misread):
        return Misread(shown(text), value.expected)
    beyond = _beyond(value, dimension)
    return Misread(shown(text), beyond) if beyond else value


def split(text: str) -> tuple[str, str]:
    """A figure and its unit, both spelt plainly; an empty figure where there is none.

    >>> split("18,50 €/kg")
    ('18,50', 'EUR/kg')
    """
    plain = " ".join(text.translate(_SPELT).split())
    currency_first = _CURRENCY_FIRST.fullmatch(plain)
    if currency_first:
        plain = f"{currency_first[2]} {currency_first[1]}"
    match = _FIGURE.fullmatch(plain)
    if match is None:
        return "", plain
    unit = re.sub(r"\s*([*/])\s*", r"\1", match[2])
    return match[1], unit.replace("(kg*K)", "kg/K")


def scale_of(unit: str) -> float:
    """What a canonical figure is multiplied by to be shown in ``unit``.

    Money is shown in its own currency; a temperature only in °C.

    Raises:
        KeyError: for a unit that no dimension has.

    >>> scale_of("%"), scale_of("EUR/g"), scale_of("pH")
    (100, 0.001, 1)
    """
    if _CURRENCY.fullmatch(unit):
        return 1
    if _CURRENCY.match(unit) and unit[3:4] == "/":
        one_kg = _canonical(1.0, unit[4:], Dimension.MASS, None)
        if isinstance(one_kg, Misread):
            raise KeyError(unit)
        return one_kg
    for scales in _TABLE.values():
        if unit in scales:
            return scales[unit]
    for dimension, scales in _TABLE.items():
        scaled = dimension in _PINTED - {Dimension.TEMPERATURE}  # degrees begin where they like
        one = _by_pint(1.0, unit, next(iter(scales))) if scaled else None
        if one is not None and _mixes_masses(unit, dimension):
            return 1 / one
    raise KeyError(unit)


def show(value: float, unit: str) -> str:
    """A canonical figure written in a unit, so that ``parse`` reads it back.

    >>> show(0.45, "%")
    '45 %'
    """
    return f"{value * scale_of(unit):.15g} {unit}".rstrip()


def shown(text: str) -> str:
    """A maker's text fit to stand in a message: one line, of moderate length, nothing unseen."""
    seen = "".join(char if char.isprintable() else f"\\u{ord(char):04x}" for char in text[:80])
    return seen if len(seen) <= 60 else seen[:59] + "…"


def _number(figure: str, dimension: Dimension) -> float | Misread:
    if not figure:
        return Misread(figure, _example(dimension))
    if _ambiguous(figure):
        whole, rest = figure.split(",")
        return Misread(figure, f"a figure that reads one way: {whole}{rest} or {whole}.{rest}")
    try:
        number = float(_with_point(figure))
    except ValueError:
        return Misread(shown(figure), _example(dimension))
    return number if isfinite(number) else Misread(shown(figure), _example(dimension))


def _ambiguous(figure: str) -> bool:
    """One comma before just three digits may part thousands or decimals; "0,125" may not."""
    return re.fullmatch(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}", figure) is not None


def _with_point(figure: str) -> str:
    if _GROUPED.fullmatch(figure):
        grouping = "," if figure.rindex(",") < figure.rindex(".") else "."
        return figure.replace(grouping, "").replace(",", ".")
    return figure.replace(",", ".") if figure.count(",") == 1 and "." not in figure else figure


def _canonical(
    number: float, unit: str, dimension: Dimension, rates: Mapping[str, float] | None
) -> float | Misread:
    if dimension is Dimension.MONEY:
        return _money(number, unit, rates)
    if dimension is Dimension.PRICE:
        return _price(number, unit, rates)
    scale = _TABLE[dimension].get(unit)
    if scale is not None:
        return _divided(number, scale)
    if not unit:
        return Misread("", f"a unit: write {_with_unit(number, dimension)}")
    return _unusual(number, unit, dimension)


def _with_unit(number: float, dimension: Dimension) -> str:
    """A bare figure with the unit it may have lacked; 0.45 may be a part of one or of a hundred."""
    if dimension is not Dimension.SHARE:
        return f"{number:.15g} {next(iter(_TABLE[dimension]))}"
    percent = f"{number:.15g} %"
    return f"{number * 100:.15g} % or {percent}" if 0 < number <= 1 else percent


def _divided(number: float, scale: float) -> float:
    """The float nearest to the decimal figure: 1.1 % is 0.011, not the float beside it."""
    if scale < 1:
        return number * round(1 / scale)
    zeros = len(str(round(scale))) - 1  # every scale from 1 upwards is a power of ten
    mantissa, _, exponent = repr(number).partition("e")
    return float(f"{mantissa}e{int(exponent or 0) - zeros}")


def _money(number: float, unit: str, rates: Mapping[str, float] | None) -> float | Misread:
    if not _CURRENCY.fullmatch(unit):
        return Misread(unit, _example(Dimension.MONEY))
    if rates is None:
        return number
    if unit not in rates:
        own = next(iter(rates), "EUR")
        return Misread(unit, f'{own}, or a rate in brief.toml: [rates] {unit} = "… {own}"')
    return number * rates[unit]


def _price(number: float, unit: str, rates: Mapping[str, float] | None) -> float | Misread:
    currency, _, mass = unit.partition("/")
    money = _money(number, currency, rates)
    if isinstance(money, Misread):
        return money if mass else Misread(unit, _example(Dimension.PRICE))
    one = _canonical(1.0, mass, Dimension.MASS, None) if mass else 0.0
    if isinstance(one, Misread) or not one:
        return Misread(unit, _example(Dimension.PRICE))
    return money * _TABLE[Dimension.MASS][mass] if mass in _TABLE[Dimension.MASS] else money / one


_PINTED = frozenset(_TABLE) - {Dimension.PH, Dimension.RATIO}


def _unusual(number: float, unit: str, dimension: Dimension) -> float | Misread:
    wrong = Misread(unit, _example(dimension))
    if dimension not in _PINTED or not _mixes_masses(unit, dimension):
        return wrong
    value = _by_pint(number, unit, next(iter(_TABLE[dimension])))
    return wrong if value is None else value


def _by_pint(number: float, unit: str, canonical: str) -> float | None:
    """``number`` in another unit, or ``None`` where pint knows no way there."""
    if len(unit) > 30 or not _UNIT.fullmatch(unit):
        return None
    import pint  # takes longer to load than a bench to read

    registry = _registry()
    powered = re.sub(r"(?<=[A-Za-z])\^?([23])", r"**\1", unit)
    try:
        value = float(registry.Quantity(number, powered).to(canonical).magnitude)
    except (pint.PintError, ValueError, TypeError, SyntaxError, OverflowError):
        return None  # the caller words it: a unit of another kind, or none at all
    return value if isfinite(value) else None


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


def _mixes_masses(unit: str, dimension: Dimension) -> bool:
    """A share is a mass in a mass: an angle or a volume in a volume has no dimension either."""
    if dimension is not Dimension.SHARE or unit in {"ppm", "permille"}:
        return True
    over, _, under = unit.partition("/")
    return all(_by_pint(1.0, part, "kg") is not None for part in (over, under))


def _beyond(value: float, dimension: Dimension) -> str:
    """What would be right in place of a figure that makes no sense; empty for one that does."""
    least, most, example = _SENSIBLE[dimension]
    if least <= value <= most:
        return ""
    if dimension in {Dimension.SHARE, Dimension.PH}:
        return example
    return f"{example}, " + (f"not below {least:g}" if value < least else f"not above {most:g}")


def _example(dimension: Dimension) -> str:
    return _SENSIBLE[dimension][2]
