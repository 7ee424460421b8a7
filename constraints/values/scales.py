"""How many of a unit make one of the canonical unit of its dimension.

The one place that knows pint. Units that are written every day stand in a small table, so that
pint, which takes longer to load than a bench to read, is loaded for the trade's other units alone.
"""

from collections.abc import Mapping
from functools import cache
from math import isfinite
from typing import Any

from ..data import data_of
from .dimension import Dimension, Misread, example
from .names import nearest_names

EVERYDAY: Mapping[Dimension, Mapping[str, float]] = {
    # how many of the unit make one of the canonical unit, which comes first
    Dimension.SHARE: {"kg/kg": 1, "%": 100, "g/kg": 1000},
    Dimension.MASS: {"kg": 1, "g": 1000, "mg": 1e6, "t": 1e-3},
    Dimension.ALKALINITY: {"mol/kg": 1, "mmol/kg": 1000, "mmol/g": 1},
    Dimension.TEMPERATURE: {"degC": 1},
    Dimension.MOLAR_MASS: {"g/mol": 1, "kg/mol": 1e-3},
    Dimension.HEAT: {"kJ/kg/K": 1, "J/g/K": 1, "J/kg/K": 1000},
    Dimension.LATENT: {"kJ/kg": 1, "J/g": 1, "J/kg": 1000},
    Dimension.DENSITY: {"kg/L": 1, "g/mL": 1, "g/L": 1000},
    Dimension.VOLUME: {"L": 1, "mL": 1000, "l": 1, "ml": 1000},
    Dimension.TIME: {"s": 1, "min": 1 / 60, "h": 1 / 3600},
    Dimension.PH: {"": 1, "pH": 1},
    Dimension.RATIO: {"": 1, "kg/kg": 1, "g/g": 1},
}
_NEAR = 3


def canonical(number: float, unit: str, dimension: Dimension) -> float | Misread:
    """A number of a unit in the canonical unit of its dimension, money left aside.

    Only units of the trade are read. The misread's ``found`` is the unit.
    """
    scale = EVERYDAY[dimension].get(unit)
    if scale is not None:
        return _divided(number, scale)
    if not unit:
        return Misread("", f"a unit: write {_with_unit(number, dimension)}")
    if unit in _of_the_trade(dimension):
        value = _by_pint(number, unit, dimension)
        return value if isfinite(value) else Misread(unit, example(dimension))
    near = tuple(f"{number:.15g} {one}".strip() for one in _nearest(unit, dimension))
    return Misread(unit, example(dimension), near)


def scale_of(unit: str) -> float:
    """What a canonical figure is multiplied by to be shown in ``unit``; money left aside.

    Raises:
        KeyError: for a unit that no dimension has, or that begins elsewhere, as degF.
    """
    for scales in EVERYDAY.values():
        if unit in scales:
            return scales[unit]
    for dimension in EVERYDAY:
        if dimension is not Dimension.TEMPERATURE and unit in _of_the_trade(dimension):
            return 1 / _by_pint(1.0, unit, dimension)
    raise KeyError(unit)


def _of_the_trade(dimension: Dimension) -> Mapping[str, str]:
    """Spelling -> what pint calls it, for the units that are not written every day."""
    found: Mapping[str, str] = data_of("units.toml")[dimension.name.lower()]
    return found


def _nearest(unit: str, dimension: Dimension) -> tuple[str, ...]:
    """Units of that dimension that a spelling may have meant, best first."""
    known = tuple(dict.fromkeys((*EVERYDAY[dimension], *_of_the_trade(dimension))))
    meant = data_of("units.toml")["meant"].get(unit)
    if meant in known:
        return (meant,)
    return nearest_names(unit, (one for one in known if one), _NEAR)


def _with_unit(number: float, dimension: Dimension) -> str:
    """A bare figure with the unit it may have lacked; 0.45 may be a part of one or of a hundred.

    A mass may be a scale's or a sack's: neither is taken for granted.
    """
    if dimension is Dimension.MASS:
        return f"{number:.15g} g or {number:.15g} kg"
    if dimension is not Dimension.SHARE:
        return f"{number:.15g} {next(iter(EVERYDAY[dimension]))}"
    percent = f"{number:.15g} %"
    return f"{number * 100:.15g} % or {percent}" if 0 < number <= 1 else percent


def _divided(number: float, scale: float) -> float:
    """The float nearest to the decimal figure: 1.1 % is 0.011, not the float beside it."""
    if scale < 1:
        return number * round(1 / scale)
    zeros = len(str(round(scale))) - 1  # every scale from 1 upwards is a power of ten
    mantissa, _, exponent = repr(number).partition("e")
    return float(f"{mantissa}e{int(exponent or 0) - zeros}")


def _by_pint(number: float, unit: str, dimension: Dimension) -> float:
    spelt = _of_the_trade(dimension)[unit]
    return float(_registry().Quantity(number, spelt).to(next(iter(EVERYDAY[dimension]))).magnitude)


@cache
def _registry() -> Any:
    import pint  # takes longer to load than a bench to read

    return pint.UnitRegistry()
