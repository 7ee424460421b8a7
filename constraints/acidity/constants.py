"""The packaged constants that the acidity model rests on."""

from dataclasses import dataclass
from functools import cache

from ..data import data_of


@dataclass(frozen=True, slots=True)
class Constants:
    """Constants of water and of ions in it at 25 °C, from ``data/acidity.toml``.

    Args:
        davies_a: Debye–Hückel slope, molal scale [kg^½/mol^½].
        davies_b: linear term of the Davies equation [kg/mol].
        pkw: −log10 of the ion product of water.
        trusted_to: ionic strength up to which the model is trusted [mol/kg water].
        held_beyond: ionic strength beyond which the activity coefficient is held [mol/kg water].
        neutral_ph: the pH at which a material's own buffer carries no charge.
        least_readings: readings needed to fix an alkalinity and a buffer.
        least_spread: pH span these readings must cover.
        most_buffer: the most that anything takes up for a pH [mol/(kg·pH)].
        wrong_in: of so many readings one is thought to be wrong.
        enough_to_tell: readings from which on that can be told.
        most_wrong: share of wrong readings beyond which nothing is learnt.
        meter: within which a meter reads a pH, where nothing is said of it.
        strength_apart: how far the ionic strength of a lot may lie from that of the typical mix, as
            a share of it.
    """

    davies_a: float
    davies_b: float
    pkw: float
    trusted_to: float
    held_beyond: float
    neutral_ph: float
    least_readings: int
    least_spread: float
    most_buffer: float
    wrong_in: int
    enough_to_tell: int
    most_wrong: float
    meter: float
    strength_apart: float


@cache
def constants() -> Constants:
    """The packaged constants, read once."""
    data = data_of("acidity.toml")
    return Constants(
        davies_a=data["davies"]["a"],
        davies_b=data["davies"]["b"],
        pkw=data["water"]["pkw"],
        trusted_to=data["validity"]["ionic_strength"],
        held_beyond=data["validity"]["held_beyond"],
        neutral_ph=data["material"]["neutral_ph"],
        least_readings=data["titration"]["least_readings"],
        least_spread=data["titration"]["least_spread"],
        most_buffer=data["titration"]["most_buffer"],
        wrong_in=data["titration"]["wrong_in"],
        enough_to_tell=data["titration"]["enough_to_tell"],
        most_wrong=data["titration"]["most_wrong"],
        meter=data["instrument"]["meter"],
        strength_apart=data["lots"]["strength_apart"],
    )
