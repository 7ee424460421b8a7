"""What a material adds to charge and salt anywhere in a cell of pH and ionic strength.

A dispersion has a pH p and an ionic strength I; both balances are linear in the composition x:

    Q(p, I; x) = Σ q_j(p, I)·x_j = 0        charge
    S(p, I; x) = Σ (n_j(p, I) − 2·I·w_j)·x_j = 0        n: Σ c·z², w: water

For a cell [p1, p2] × [I1, I2] the coefficients are bounded from both sides. Ionic strength acts
only through f, the −log10 of the activity coefficient of a singly charged ion. Each step of a group
has the constant 10^(p − pKa + f·(1 − 2z)), monotone in p and in f, and the mean of anything that
only rises (or only falls) with the protons lost is monotone in each of these constants: so taking
every step's constant at one of its ends bounds the mean, exactly where all charges have one sign,
and ever more closely as the cell shrinks elsewhere. Bounds are rounded outward, to few digits, so
that exact arithmetic over them is cheap and a float's last digit never makes a claim too strong.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence

from ..model.material import Material
from ..model.substance import Ionisation, Substance
from .activity import molar_kilograms
from .cell import SLIP, Cell, Pair, davies_span
from .coefficients import End, residual_alkalinity, water_share
from .constants import constants

DIGITS = 10
"""A row's coefficients are rounded outward to so many digits of the largest of them."""


def charge_span(
    materials: Iterable[Material],
    substances: Mapping[str, Substance],
    ph: float,
    dilution: float,
    salt: Pair,
    *,
    end: End = "typical",
) -> list[Pair]:
    """Least and greatest charge that each share adds, over a span of ionic strength, at one pH.

    The bounds of `coefficients.charge_coefficients` [mol per kg of dispersion], not yet rounded:
    each already widened by what floats can lose.
    """
    f = davies_span(salt)
    known = _Known(substances, lambda one: _substance_charge(one, ph, f))
    water = _hydrogen(ph, f), _hydroxide(ph, f)
    found = []
    for one in materials:
        low, high, size = _own_charge(one, known, ph, end)
        found.append(
            _in_water(dilution, (low, high, size), water, water_in_dispersion(one, dilution))
        )
    return found


def salt_span(
    materials: Iterable[Material],
    substances: Mapping[str, Substance],
    dilution: float,
    cell: Cell,
) -> list[Pair]:
    """Least and greatest Σ c·z² of each share anywhere in a cell [mol per kg of dispersion]."""
    f = davies_span(cell.salt)
    low = min(_ions(ph, f)[0] for ph in _ends_and_middle(cell.ph))
    high = max(_ions(ph, f)[1] for ph in cell.ph)
    known = _Known(substances, lambda one: _substance_squares(one, cell.ph, f))
    return [_squares(one, known, dilution, (low, high)) for one in materials]


def water_in_dispersion(material: Material, dilution: float) -> float:
    """Water that a share of a material stands for [kg per kg of dispersion]."""
    return 1.0 - dilution + dilution * water_share(material)


class _Known:
    """What each substance adds, worked out once."""

    def __init__(
        self, substances: Mapping[str, Substance], bound: Callable[[Substance], Pair]
    ) -> None:
        self._substances, self._bound = substances, bound
        self._found: dict[str, Pair] = {}

    def __getitem__(self, inci: str) -> Pair:
        if inci not in self._found:
            self._found[inci] = self._bound(self._substances[inci])
        return self._found[inci]


def _own_charge(
    material: Material, known: _Known, ph: float, end: End
) -> tuple[float, float, float]:
    """Least and greatest charge of a kilogram, and the size of what was added up [mol/kg]."""
    own = material.buffer * (constants().neutral_ph - ph) + residual_alkalinity(material, end)
    low = high = own
    size = abs(own)
    for inci, share in material.typical_contents():
        least, most = known[inci]
        low, high = low + share * least, high + share * most
        size += share * max(abs(least), abs(most))
    return low, high, size


def _in_water(
    dilution: float, own: tuple[float, float, float], water: tuple[Pair, Pair], wet: float
) -> Pair:
    low, high, size = own
    (acid_low, acid_high), (base_low, base_high) = water
    slack = SLIP * (dilution * size + wet * (acid_high + base_high))
    return (
        dilution * low + wet * (acid_low - base_high) - slack,
        dilution * high + wet * (acid_high - base_low) + slack,
    )


def _squares(material: Material, known: _Known, dilution: float, ions: Pair) -> Pair:
    low = high = abs(residual_alkalinity(material))
    for inci, share in material.typical_contents():
        least, most = known[inci]
        low, high = low + share * least, high + share * most
    wet = water_in_dispersion(material, dilution)
    least, most = dilution * low + wet * ions[0], dilution * high + wet * ions[1]
    return least * (1.0 - SLIP), most * (1.0 + SLIP)


def _hydrogen(ph: float, f: Pair) -> Pair:
    return 10.0 ** (f[0] - ph), 10.0 ** (f[1] - ph)


def _hydroxide(ph: float, f: Pair) -> Pair:
    pkw = constants().pkw
    return 10.0 ** (f[0] + ph - pkw), 10.0 ** (f[1] + ph - pkw)


def _ions(ph: float, f: Pair) -> Pair:
    """Least and greatest H⁺ and OH⁻ together [mol/kg water]."""
    (acid_low, acid_high), (base_low, base_high) = _hydrogen(ph, f), _hydroxide(ph, f)
    return acid_low + base_low, acid_high + base_high


def _ends_and_middle(ph: Pair) -> Iterable[float]:
    """Where H⁺ and OH⁻ together can be least: they are convex in pH, least at half of pKw."""
    return (*ph, min(max(constants().pkw / 2.0, ph[0]), ph[1]))


def _substance_charge(substance: Substance, ph: float, f: Pair) -> Pair:
    low = high = substance.buffer * (substance.neutral_ph - ph)
    size = abs(low)
    every = substance.groups()
    mass = molar_kilograms(substance) if every else 1.0
    for groups in every:
        fixed = groups.top_charge + sum(groups.ions)
        fewest, most = (_mean(_constants(groups, ph, f, most=far), _count) for far in (False, True))
        low, high = low + (fixed - most) / mass, high + (fixed - fewest) / mass
        size += (abs(fixed) + len(groups.pka)) / mass
    return low - SLIP * size, high + SLIP * size


def _substance_squares(substance: Substance, ph: Pair, f: Pair) -> Pair:
    low = high = 0.0
    every = substance.groups()
    mass = molar_kilograms(substance) if every else 1.0
    for groups in every:
        fixed = sum(ion * ion for ion in groups.ions)
        least, most = (0.0, 0.0) if groups.aggregates else _own_squares(groups, ph, f)
        low, high = low + (fixed + least) / mass, high + (fixed + most) / mass
    return low * (1.0 - SLIP), high * (1.0 + SLIP)


def _own_squares(groups: Ionisation, ph: Pair, f: Pair) -> Pair:
    """Bounds of the mean z²: its part above no charge falls with protons lost, that below rises."""
    fewest = _constants(groups, ph[0], f, most=False)
    most = _constants(groups, ph[1], f, most=True)
    top = groups.top_charge

    def above(lost: int) -> float:
        return float(max(top - lost, 0) ** 2)

    def below(lost: int) -> float:
        return float(max(lost - top, 0) ** 2)

    return (
        _mean(most, above) + _mean(fewest, below),
        _mean(fewest, above) + _mean(most, below),
    )


def _constants(groups: Ionisation, ph: float, f: Pair, *, most: bool) -> list[float]:
    """log10 of each step's constant at a pH, at whichever end of f makes it least or greatest."""
    found, charge = [], groups.top_charge
    for pka in groups.pka:
        steep = 0 if groups.aggregates else 1 - 2 * charge
        at = f[1] if (steep > 0) == most else f[0]
        found.append(ph - pka + steep * at)
        charge -= 1
    return found


def _count(lost: int) -> float:
    return float(lost)


def _mean(steps: Sequence[float], of: Callable[[int], float]) -> float:
    """Mean over the forms of what is counted of the protons lost, by the logs of the constants."""
    logs = [0.0]
    for step in steps:
        logs.append(logs[-1] + step)
    top = max(logs)
    weights: list[float] = [10.0 ** (log - top) for log in logs]
    return math.fsum(w * of(lost) for lost, w in enumerate(weights)) / math.fsum(weights)


def rounded(values: Sequence[float], *, up: bool) -> tuple[float, ...]:
    """Numbers of one row rounded to one side, on a grid of ``DIGITS`` digits of the largest.

    The grid is a power of ten, so each result counts as exactly the short decimal it prints as.

    >>> rounded([0.123456789012, 1.0], up=True)
    (0.12345679, 1.0)
    """
    largest = max(map(abs, values), default=0.0)
    if not largest:
        return tuple(values)
    places = DIGITS - 1 - math.floor(math.log10(largest))
    return tuple(_on_grid(value, places, up=up) for value in values)


def kindest(spans: Sequence[Pair], *, at_least: bool) -> tuple[float, ...]:
    """The coefficients with which a sum is easiest kept at least, or at most, zero."""
    return rounded([high if at_least else low for low, high in spans], up=at_least)


def _on_grid(value: float, places: int, *, up: bool) -> float:
    from fractions import Fraction

    scaled = Fraction(value) * Fraction(10**places if places >= 0 else Fraction(1, 10**-places))
    return float(f"{math.ceil(scaled) if up else math.floor(scaled)}e{-places}")
