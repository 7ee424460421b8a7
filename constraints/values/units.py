"""Figures with units: text -> a float in the canonical unit of its dimension, and back."""

from collections.abc import Mapping

from . import scales
from .dimension import Dimension, Misread, beyond, example
from .money import money, money_scale, own_currency, price
from .number import numbers_in, split, ungrouped
from .problem import shown

__all__ = ["Dimension", "Misread", "mass_of", "parse", "scale_of", "show", "shown", "split"]


def parse(
    text: str,
    dimension: Dimension,
    rates: Mapping[str, float] | None = None,
    *,
    comma: bool = False,
) -> float | Misread:
    """Read a figure with its unit.

    Args:
        text: as the maker wrote it: "45 %", "18,50 EUR", "75 °C".
        dimension: what it must measure.
        rates: currency code -> how much of the bench's currency one unit of it is, the bench's own
            currency first, at 1. ``None`` takes any currency at its face: only the form counts.
        comma: whether the figures around it have a decimal comma, so that "1.000" may be 1000.

    Returns:
        The figure in the canonical unit of the dimension [kg, kg/kg, money, money/kg, mol/kg, °C,
        g/mol, kJ/(kg·K), kJ/kg, kg/L, L, s, pH, 1], or what is wrong with the text. Where a figure
        reads two ways and both make sense, it is refused.

    >>> parse("45 %", Dimension.SHARE)
    0.45
    >>> parse("45", Dimension.SHARE)
    Misread(found='45', expected='a unit: write 45 %')
    """
    figure, unit = split(text)
    numbers = numbers_in(figure, comma=comma)
    currency = own_currency(rates)
    if not numbers:
        near = tuple(filter(None, [ungrouped(text)]))
        return Misread(shown(figure or text), example(dimension, currency), near)
    read = [_canonical(number, unit, dimension, rates) for number in numbers]
    values = [value for value in read if not isinstance(value, Misread)]
    if isinstance(read[0], Misread) or not values:
        return _worded(text, figure, read[0])
    sensible = [value for value in values if not beyond(value, dimension)]
    if len(sensible) > 1:
        ways = " or ".join(f"{number:.15g} {unit}".rstrip() for number in reversed(numbers))
        return Misread(shown(text), f"a figure that reads one way: {ways}")
    beyond_all = beyond(values[0], dimension, currency)
    return sensible[0] if sensible else Misread(shown(text), beyond_all)


def mass_of(text: str, density: float | None, *, comma: bool = False) -> float | Misread:
    """A mass [kg], or the mass of a volume at a density [kg/L]; ``None`` for one not known.

    >>> mass_of("250 g", None), mass_of("500 ml", 0.92)
    (0.25, 0.46)
    """
    read = parse(text, Dimension.MASS, comma=comma)
    volume = parse(text, Dimension.VOLUME, comma=comma) if isinstance(read, Misread) else read
    if not isinstance(read, Misread) or isinstance(volume, Misread):
        return read
    if density is None:
        weighed = example(Dimension.MASS)
        expected = f'{weighed}, or density = "0.92 kg/L" for this material in materials.toml'
        return Misread(read.found, expected)
    return volume * density


def _worded(text: str, figure: str, misread: float | Misread) -> Misread:
    """A unit that was misread, with the whole text it stands in."""
    assert isinstance(misread, Misread)  # noqa: S101  (its caller looked)
    near = tuple(one if one[:1].isdigit() else f"{figure} {one}" for one in misread.nearest)
    near = tuple(filter(None, [ungrouped(text)])) or near
    return Misread(shown(text), misread.expected, near)


def _canonical(
    number: float, unit: str, dimension: Dimension, rates: Mapping[str, float] | None
) -> float | Misread:
    if dimension is Dimension.MONEY:
        return money(number, unit, rates)
    if dimension is Dimension.PRICE:
        return price(number, unit, rates)
    return scales.canonical(number, unit, dimension)


def scale_of(unit: str) -> float:
    """What a canonical figure is multiplied by to be shown in ``unit``.

    Money is shown in its own currency; a temperature only in °C.

    Raises:
        KeyError: for a unit that no dimension has.

    >>> scale_of("%"), scale_of("EUR/g"), scale_of("pH")
    (100, 0.001, 1)
    """
    of_money = money_scale(unit)
    return scales.scale_of(unit) if of_money is None else of_money


def show(value: float, unit: str) -> str:
    """A canonical figure written in a unit, so that ``parse`` reads it back.

    >>> show(0.45, "%")
    '45 %'
    """
    return f"{value * scale_of(unit):.15g} {unit}".rstrip()
