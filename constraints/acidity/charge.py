"""The charge of a dispersion at a pH, and the pH at which that charge is nought.

pH is −log10 of the activity of H⁺. Activity coefficients are those of Davies at 25 °C:
−log10 γ = A·z²·(√I/(1 + √I) − b·I). Everything is counted per kg of water (molal scale).
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ..model.substance import Ionisation, Substance
from .activity import LN10, davies, ions_shifted, molar_kilograms, moments
from .coefficients import End, Parts, residual_alkalinity, water_share
from .constants import constants

# Beyond anything a dispersion can have; the sign of the charge is sure at both ends.
LOWEST_PH, HIGHEST_PH = -10.0, 25.0

# Newton's last step leaves about its square as error; the settled pH is held tighter.
ROOT_STEP = 1e-7

SETTLED = 1e-11

ROUNDS = 40


@dataclass(frozen=True, slots=True)
class Dispersion:
    """What is dissolved in a mass of water, ready to be asked for its charge.

    Args:
        water: [kg].
        solutes: moles of each substance whose charge moves with pH, its groups, the charge of its
            fully protonated form with its fixed ions, and the sum of squares of these ions.
        fixed_charge: charge that does not move with pH [mol].
        fixed_squares: what ions that do not move with pH add to Σ n·z² [mol].
        buffer: charge taken up per pH step by what is known only by titration [mol/pH].
    """

    water: float
    solutes: tuple[tuple[float, Ionisation, int, int], ...]
    fixed_charge: float
    fixed_squares: float
    buffer: float


def disperse(
    parts: Parts, substances: Mapping[str, Substance], water: float, end: End = "typical"
) -> Dispersion:
    """Materials by mass in a mass of added water.

    Args:
        parts: each material and its mass [kg].
        substances: every substance they contain, by INCI name.
        water: water added [kg]; what the materials bring is counted besides.
        end: which end of the span of the residual alkalinities.

    Raises:
        ValueError: when there is no water at all.
    """
    wet = water + sum(mass * water_share(material) for material, mass in parts)
    refuse_dry(wet)
    masses = _substance_masses(parts)
    moving, charge, squares = _dissolved(masses, substances)
    bases = [mass * residual_alkalinity(material, end) for material, mass in parts]
    slopes = [
        (mass * substances[inci].buffer, substances[inci].neutral_ph)
        for inci, mass in masses.items()
    ]
    slopes += [(mass * material.buffer, constants().neutral_ph) for material, mass in parts]
    return Dispersion(
        water=wet,
        solutes=moving,
        fixed_charge=charge + sum(bases) + sum(slope * neutral for slope, neutral in slopes),
        fixed_squares=squares + sum(map(abs, bases)),
        buffer=sum(slope for slope, _ in slopes),
    )


def _substance_masses(parts: Parts) -> dict[str, float]:
    masses: dict[str, float] = {}
    for material, mass in parts:
        for inci, share in material.typical_contents():
            masses[inci] = masses.get(inci, 0.0) + mass * share
    return masses


def _dissolved(
    masses: Mapping[str, float], substances: Mapping[str, Substance]
) -> tuple[tuple[tuple[float, Ionisation, int, int], ...], float, float]:
    moving: list[tuple[float, Ionisation, int, int]] = []
    charge = squares = 0.0
    for inci, mass in masses.items():
        every = substances[inci].groups()
        moles = mass / molar_kilograms(substances[inci]) if every and mass else 0.0
        for groups in every if moles else ():
            top, ions = groups.top_charge + sum(groups.ions), sum(ion * ion for ion in groups.ions)
            if groups.pka:
                moving.append((moles, groups, top, ions))
            else:
                charge += moles * top
                squares += moles * (ions + (0 if groups.aggregates else groups.top_charge**2))
    return tuple(moving), charge, squares


def _state(mix: Dispersion, ph: float, ionic_strength: float) -> tuple[float, float, float]:
    """Net charge [mol], its fall per pH [mol/pH] and the ionic strength it makes [mol/kg water]."""
    shift = davies(ionic_strength)
    hydrogen, hydroxide = ions_shifted(ph, shift)
    charge = mix.fixed_charge - mix.buffer * ph + mix.water * (hydrogen - hydroxide)
    spread = mix.water * (hydrogen + hydroxide)
    squares = mix.fixed_squares + spread
    for moles, groups, top, ions in mix.solutes:
        lost, lost_squared = moments(groups, ph, shift)
        charge += moles * (top - lost)
        spread += moles * (lost_squared - lost * lost)
        squares += moles * ions
        if not groups.aggregates:
            own = groups.top_charge
            squares += moles * (own * own - 2 * own * lost + lost_squared)
    return charge, mix.buffer + LN10 * spread, squares / (2.0 * mix.water)


def net_charge(mix: Dispersion, ph: float, ionic_strength: float) -> float:
    """Net charge of a dispersion at an assumed pH and ionic strength [mol]."""
    return _state(mix, ph, ionic_strength)[0]


def _root(mix: Dispersion, ionic_strength: float, ph: float) -> tuple[float, float]:
    """The pH of no charge at a fixed ionic strength, and the ionic strength made there.

    Newton's steps from a first guess, on asinh of the charge, which is nearly straight in pH; a
    step that leaves the bracket or does not halve the one before last gives way to bisection.
    """
    low, high = LOWEST_PH, HIGHEST_PH
    scale = 1e-7 * mix.water
    before = last = high - low
    while True:
        charge, fall, made = _state(mix, ph, ionic_strength)
        low, high = (ph, high) if charge > 0.0 else (low, ph)
        step = math.asinh(charge / scale) * math.hypot(charge, scale) / fall
        if not low <= ph + step <= high or abs(step) > 0.5 * before:
            step = (low + high) / 2.0 - ph
        before, last = last, abs(step)
        ph += step
        if last < ROOT_STEP:
            return ph, made


def neutral_point(mix: Dispersion, ionic_strength: float) -> float:
    """The pH of a dispersion at a given ionic strength [mol/kg water]."""
    return _root(mix, ionic_strength, 7.0)[0]


def equilibrium(mix: Dispersion) -> tuple[float, float]:
    """The pH of a dispersion and its ionic strength [mol/kg water], each settled with the other."""
    ph = 7.0
    ionic_strength = _state(mix, ph, 0.0)[2]
    for _ in range(ROUNDS):
        moved, ionic_strength = _root(mix, ionic_strength, ph)
        if abs(moved - ph) < SETTLED:
            return moved, ionic_strength
        ph = moved
    ionic_strength = _settled(lambda assumed: _root(mix, assumed, ph)[1])
    return _root(mix, ionic_strength, ph)[0], ionic_strength


def ionic_strength_at(mix: Dispersion, ph: float) -> float:
    """Ionic strength of a dispersion whose pH was measured [mol/kg water]."""
    return _settled(lambda assumed: _state(mix, ph, assumed)[2])


def strength_made(mix: Dispersion, ph: float, ionic_strength: float) -> float:
    """Ionic strength that a dispersion makes at an assumed pH and ionic strength [mol/kg water]."""
    return _state(mix, ph, ionic_strength)[2]


def _settled(made: Callable[[float], float]) -> float:
    """The ionic strength that makes itself, by bisection: iteration swings where salt is strong."""
    low, high = 0.0, 1.0
    while made(high) > high:
        low, high = high, 2.0 * high
    while high - low > SETTLED * high:
        middle = (low + high) / 2.0
        low, high = (middle, high) if made(middle) > middle else (low, middle)
    return (low + high) / 2.0


def in_water(
    parts: Parts, substances: Mapping[str, Substance], dilution: float, end: End = "typical"
) -> Dispersion:
    """A kilogram of dispersion of a mix.

    Args:
        parts: each material and its share of the mix [kg/kg], adding to one.
        substances: every substance they contain, by INCI name.
        dilution: mass of bar in a mass of dispersion [kg/kg].
        end: which end of the span of the residual alkalinities.

    Raises:
        ValueError: when the dilution is not in (0, 1] or there is no water.
    """
    refuse_dilution(dilution)
    scaled = [(material, dilution * share) for material, share in parts]
    return disperse(scaled, substances, 1.0 - dilution, end)


def ionic_strength_of(parts: Parts, substances: Mapping[str, Substance], dilution: float) -> float:
    """Ionic strength of a mix dispersed in water, at its own pH [mol/kg water]."""
    return equilibrium(in_water(parts, substances, dilution))[1]


def refuse_dilution(dilution: float) -> None:
    """Refuse what is no dilution.

    Raises:
        ValueError: when it is not in (0, 1].
    """
    if not 0.0 < dilution <= 1.0:
        msg = f"a dilution lies above 0 and at most at 1, not at {dilution}"
        raise ValueError(msg)


def refuse_dry(water: float) -> None:
    """Refuse a dispersion without water.

    Raises:
        ValueError: when there is no more than none [kg].
    """
    if not water > 0.0:
        raise ValueError("a pH needs water: there is none in the dispersion")
