"""Activity, and the charge that a substance carries at a pH."""

import math
from functools import lru_cache

from ..model.substance import Ionisation, Substance
from .constants import constants

LN10 = math.log(10.0)


def davies(ionic_strength: float) -> float:
    """−log10 of the activity coefficient of a singly charged ion; ·z² for any other charge.

    Held beyond an ionic strength that is far outside the model's validity; `Prediction.valid` says
    when a result lies outside.

    Args:
        ionic_strength: [mol/kg water].

    >>> round(davies(0.1), 4)
    0.1071
    """
    known = constants()
    held = min(ionic_strength, known.held_beyond)
    root = math.sqrt(held)
    return known.davies_a * (root / (1.0 + root) - known.davies_b * held)


def water_ions(ph: float, ionic_strength: float) -> tuple[float, float]:
    """H⁺ and OH⁻ [mol/kg water] at a pH."""
    return ions_shifted(ph, davies(ionic_strength))


def ions_shifted(ph: float, shift: float) -> tuple[float, float]:
    """H⁺ and OH⁻ [mol/kg water] at a pH, the activity coefficient given as its −log10."""
    return 10.0 ** (shift - ph), 10.0 ** (shift + ph - constants().pkw)


def forms(ionisation: Ionisation, ph: float, ionic_strength: float) -> tuple[float, ...]:
    """Share of each form, from fully protonated to fully dissociated; they add to one.

    Each thermodynamic constant is brought to the concentration scale by the charges of its step.
    The constant of a substance in aggregates is an apparent one, measured as it is used, and is
    taken unchanged.

    Args:
        ionisation: the groups.
        ph: −log10 of the activity of H⁺.
        ionic_strength: [mol/kg water].
    """
    weights = _weights(ionisation, ph, davies(ionic_strength))
    total = sum(weights)
    return tuple(weight / total for weight in weights)


def _weights(ionisation: Ionisation, ph: float, shift: float) -> list[float]:
    weight, charge = 1.0, ionisation.top_charge
    weights = [weight]
    step = 0.0 if ionisation.aggregates else shift
    for pka in ionisation.pka:
        weight *= 10.0 ** (ph - pka + step * (1 - 2 * charge))
        weights.append(weight)
        charge -= 1
    return weights


def moments(ionisation: Ionisation, ph: float, shift: float) -> tuple[float, float]:
    """Mean protons lost and their mean square."""
    total = lost = squares = 0.0
    for protons, weight in enumerate(_weights(ionisation, ph, shift)):
        total += weight
        lost += protons * weight
        squares += protons * protons * weight
    return lost / total, squares / total


def mean_charge(ionisation: Ionisation, ph: float, ionic_strength: float) -> float:
    """Mean charge of the substance itself, without its fixed ions [mol charge/mol]."""
    return ionisation.top_charge - moments(ionisation, ph, davies(ionic_strength))[0]


def undissociated_share(ionisation: Ionisation, ph: float, ionic_strength: float) -> float:
    """Share that has kept all its protons: the part of an acid preservative that does its work."""
    return forms(ionisation, ph, ionic_strength)[0]


@lru_cache(maxsize=8192)  # asked for the same few substances again and again
def charge_of_substance(substance: Substance, ph: float, ionic_strength: float) -> float:
    """Charge a kilogram of a substance brings with all its ions [mol/kg].

    Raises:
        ValueError: when it ionises and has no molar mass.
    """
    buffered = substance.buffer * (substance.neutral_ph - ph)
    if substance.ionisation is None:
        return buffered
    charge = sum(
        mean_charge(groups, ph, ionic_strength) + sum(groups.ions) for groups in substance.groups()
    )
    return charge / molar_kilograms(substance) + buffered


def molar_kilograms(substance: Substance) -> float:
    """Mass of a mole [kg/mol].

    Raises:
        ValueError: when it ionises and has no molar mass.
    """
    if substance.molar_mass is None:
        msg = f"{substance.inci} ionises and has no molar mass"
        raise ValueError(msg)
    return substance.molar_mass / 1000.0
