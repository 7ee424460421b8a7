"""How figures are written: the unit the maker used, no more digits than mean something."""

from decimal import Decimal
from math import ceil, floor

from ...constraints.model.rule import Limited
from ...constraints.values.units import scale_of


def share(value: float) -> str:
    """A share of the mix [kg/kg] in per cent.

    >>> share(0.45), share(0.0004), share(2e-6)
    ('45.00 %', '0.040 %', '< 0.001 %')
    """
    percent = value * 100
    if 0 < percent < 0.0005:
        return "< 0.001 %"
    digits = 3 if 0 < abs(percent) < 0.1 else 2
    return f"{percent:.{digits}f} %"


def money(value: float, currency: str) -> str:
    """A cost for each kilogram of mix.

    >>> money(6.8351, "EUR")
    '6.835 EUR/kg'
    """
    return f"{value:.3f} {currency}/kg"


def grams(mass_kg: float, step_kg: float) -> str:
    """A mass in grams, with as many decimals as the balance shows.

    >>> grams(0.0617, 0.00001), grams(0.75, 0.001), grams(0.2, 0.0005)
    ('61.70', '750', '200.0')
    """
    return f"{mass_kg * 1000:.{_decimals(step_kg * 1000)}f}"


def _decimals(step: float) -> int:
    exponent = Decimal(f"{step:.9g}").normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def amount(mass_kg: float) -> str:
    """A mass where no balance sets the digits: grams, or kilograms from one upwards.

    >>> amount(0.0617), amount(2.5)
    ('61.7 g', '2.5 kg')
    """
    if mass_kg >= 1:
        return f"{round(mass_kg, 3):.9g} kg"
    return f"{round(mass_kg * 1000, 2):.9g} g"


def money_sum(value: float, currency: str) -> str:
    """A sum of money, to the cent.

    >>> money_sum(0.65096, "EUR")
    '0.65 EUR'
    """
    return f"{value:.2f} {currency}"


def percent(value: float) -> str:
    """A share that is not one of the mix: a risk, a yield, a margin.

    >>> percent(0.965), percent(0.01)
    ('96.5 %', '1 %')
    """
    return f"{value * 100:.3g} %"


def in_unit(value: float, unit: str, *, digits: int | None = None) -> str:
    """A canonical value in the unit a rule was written in.

    >>> in_unit(0.4, "%"), in_unit(5.5, "pH"), in_unit(1.25, "")
    ('40 %', 'pH 5.5', '1.25')
    """
    shown = value * scale_of(unit)
    text = f"{shown:.{digits}f}" if digits is not None else _plain(shown)
    if unit == "pH":
        return f"pH {text}"
    return f"{text} {unit}".strip()


def limit(rule: Limited, side: str) -> str:
    """One limit of a rule, as the maker wrote it."""
    value = rule.limit(side)
    return "" if value is None else in_unit(value, rule.unit)


def limits(rule: Limited) -> str:
    """Both limits of a rule, as a range.

    Free sides are said in words: "at least 40 %", "at most 7.2 EUR/kg".
    """
    if rule.shuts_out() is not None:
        return "none"
    if rule.low is not None and rule.low == rule.high:
        return f"exactly {limit(rule, 'low')}"
    if rule.low is None or (rule.low == 0 and rule.high is not None):
        return f"at most {limit(rule, 'high')}"
    if rule.high is None:
        return f"at least {limit(rule, 'low')}"
    low, high = limit(rule, "low"), limit(rule, "high")
    bare = low.removeprefix("pH ") if rule.unit == "pH" else low.removesuffix(f" {rule.unit}")
    return f"pH {bare}–{high.removeprefix('pH ')}" if rule.unit == "pH" else f"{bare}–{high}"


def measured(rule: Limited, value: float | None) -> str:
    """What a rule is about, in its own unit, with the digits a maker can use."""
    if value is None:
        return "–"
    if rule.whole:
        return f"{value:.0f}"
    if rule.unit == "%":
        return share(value)
    return in_unit(value, rule.unit, digits=2 if rule.unit in {"", "pH"} else 3)


def _plain(value: float) -> str:
    return f"{round(value, 6):g}"


def celsius(value: float, *, side: str = "") -> str:
    """A temperature to the degree; one to reach is rounded up, one not to pass is rounded down.

    >>> celsius(51.47), celsius(51.47, side="least"), celsius(45.0, side="most")
    ('51 °C', '52 °C', '45 °C')
    """
    if side == "least":
        return f"{ceil(round(value, 6))} °C"
    if side == "most":
        return f"{floor(round(value, 6))} °C"
    return f"{value:.0f} °C"
