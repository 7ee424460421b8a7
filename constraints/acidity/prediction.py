"""The pH that a bar will have, and the range that what is known of its materials leaves open."""

from collections.abc import Mapping
from dataclasses import dataclass

from ..model.substance import Substance
from .charge import equilibrium, in_water, neutral_point
from .coefficients import Parts
from .constants import constants
from .unknown import unknown_alkalinity


@dataclass(frozen=True, slots=True)
class Prediction:
    """The pH a bar will have in water at 25 °C.

    Args:
        ph: with every residual alkalinity at its typical value.
        low: with every one at its low end.
        high: with every one at its high end.
        ionic_strength: [mol/kg water] at ``ph``.
        unknown: materials whose residual alkalinity is not known; the range covers what their
            classes may bring.
        valid: whether the ionic strength stays within what the activity model is trusted for.
    """

    ph: float
    low: float
    high: float
    ionic_strength: float
    unknown: tuple[str, ...]
    valid: bool


def predict(parts: Parts, substances: Mapping[str, Substance], dilution: float) -> Prediction:
    """The pH of a mix dispersed in water, and the range its residual alkalinities span.

    Args:
        parts: each material and its share of the mix [kg/kg], adding to one.
        substances: every substance they contain, by INCI name.
        dilution: mass of bar in a mass of dispersion [kg/kg].

    Raises:
        ValueError: when the dilution is not in (0, 1] or there is no water.
    """
    ph, ionic_strength = equilibrium(in_water(parts, substances, dilution))
    low, _ = equilibrium(in_water(parts, substances, dilution, "low"))
    high, _ = equilibrium(in_water(parts, substances, dilution, "high"))
    return Prediction(
        ph=ph,
        low=low,
        high=high,
        ionic_strength=ionic_strength,
        unknown=unknown_alkalinity(parts),
        valid=ionic_strength <= constants().trusted_to,
    )


@dataclass(frozen=True, slots=True)
class Bracket:
    """Between which pH a mix certainly lies, its known materials taken at their typical figures.

    Args:
        ph: with everything at its typical value.
        low: with every unknown residual alkalinity at the low end of what its class may bring.
        high: the same at the high end; ``low`` and ``high`` are ``ph`` where nothing is unknown.
        ionic_strength: [mol/kg water] at ``ph``, and taken at both ends too: what little salt the
            unknown brings is not counted.
        valid: whether the ionic strength stays within what the activity model is trusted for.
    """

    ph: float
    low: float
    high: float
    ionic_strength: float
    valid: bool


def bracket(parts: Parts, substances: Mapping[str, Substance], dilution: float) -> Bracket:
    """The pH of a mix dispersed in water as a rule judges it: surely on one side, or open.

    Args:
        parts: each material and its share of the mix [kg/kg], adding to one.
        substances: every substance they contain, by INCI name.
        dilution: mass of bar in a mass of dispersion [kg/kg].

    Raises:
        ValueError: when the dilution is not in (0, 1] or there is no water.
    """
    ph, strength = equilibrium(in_water(parts, substances, dilution))
    low = high = ph
    if unknown_alkalinity(parts):
        sour = in_water(parts, substances, dilution, "unknown low")
        alkaline = in_water(parts, substances, dilution, "unknown high")
        low, high = neutral_point(sour, strength), neutral_point(alkaline, strength)
    return Bracket(ph, low, high, strength, strength <= constants().trusted_to)
