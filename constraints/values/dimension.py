"""What a figure measures: its canonical unit, the values that make sense, and how to write one."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


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
    """A text that gives no figure: what was found, what would be right, and what was likely meant.

    ``nearest`` holds whole figures, ready to be written in place of what was found.
    """

    found: str
    expected: str
    nearest: tuple[str, ...] = field(default=(), repr=False)


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


def example(dimension: Dimension, currency: str = "EUR") -> str:
    """How to write a figure of a dimension; money in the currency given.

    >>> example(Dimension.PRICE, "NZD")
    'a price for a mass, such as 7.20 NZD/kg'
    """
    return _SENSIBLE[dimension][2].replace("EUR", currency)


def beyond(value: float, dimension: Dimension, currency: str = "EUR") -> str:
    """What would be right in place of a figure that makes no sense; empty for one that does."""
    least, most, _ = _SENSIBLE[dimension]
    if least <= value <= most:
        return ""
    belongs = example(dimension, currency)
    if dimension in {Dimension.SHARE, Dimension.PH}:
        return belongs
    return f"{belongs}, " + (f"not below {least:g}" if value < least else f"not above {most:g}")
