"""The pH of one composition made from very many lots of its materials."""

from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from ..model.frame import Same
from ..model.lots import Floats, Lots
from ..model.mix import Mix
from ..model.substance import Ionisation, Substance
from .activity import molar_kilograms
from .charge import equilibrium, in_water, refuse_dilution, refuse_dry
from .coefficients import WATER
from .constants import constants
from .equilibria import Block, equilibria


def predict_lots(lots: Lots, dilution: float) -> tuple[Floats, Floats]:
    """The pH of every lot dispersed in water, at its own ionic strength.

    Args:
        lots: the composition and its lots.
        dilution: mass of bar in a mass of dispersion [kg/kg].

    Returns:
        pH [N] and ionic strength [N] [mol/kg water]; the same figures as one by one.

    Raises:
        ValueError: when the dilution is not in (0, 1] or a dispersion has no water.
    """
    if dilution not in lots.asked:
        lots.asked[dilution] = _predicted(lots, dilution)
    return lots.asked[dilution]


def _predicted(lots: Lots, dilution: float) -> tuple[Floats, Floats]:
    refuse_dilution(dilution)
    block = _dispersed(lots, dilution)
    refuse_dry(float(block.water.min(initial=np.inf)))
    ph, ionic_strength, stubborn = equilibria(block, *_typical(Same(lots.mix), dilution))
    for row in map(int, np.flatnonzero(stubborn)):
        mix = lots.one(row)
        ph[row], ionic_strength[row] = equilibrium(in_water(mix.shares, mix.substances, dilution))
    return ph, ionic_strength


@lru_cache(maxsize=32)  # lots of one mix are asked for again and again
def _typical(mix: Same[Mix], dilution: float) -> tuple[float, float]:
    return equilibrium(in_water(mix.thing.shares, mix.thing.substances, dilution))


def _dispersed(lots: Lots, dilution: float) -> Block:
    substances = lots.mix.substances
    masses = {inci: dilution * share for inci, share in lots.share_of_substances().items()}
    bases = dilution * lots.alkalinity * lots.shares
    charge, squares = bases.sum(axis=1), np.abs(bases).sum(axis=1)
    moles, groups, fixed, fixed_squares = _dissolved(masses, substances, lots.count)
    slope, neutral = _buffers(lots, masses, dilution)
    return Block(
        water=1.0 - dilution + masses.get(WATER, np.zeros(lots.count)),
        moles=moles,
        fixed_charge=charge + fixed + neutral,
        fixed_squares=squares + fixed_squares,
        buffer=slope,
        groups=groups,
    )


def _dissolved(
    masses: Mapping[str, Floats], substances: Mapping[str, Substance], count: int
) -> tuple[Floats, tuple[tuple[Ionisation, int, int], ...], Floats, Floats]:
    moles: list[Floats] = []
    groups: list[tuple[Ionisation, int, int]] = []
    charge, squares = np.zeros(count), np.zeros(count)
    for inci, mass in masses.items():
        every = substances[inci].groups()
        amount = mass / molar_kilograms(substances[inci]) if every else mass
        for one in every:
            top, ions = one.top_charge + sum(one.ions), sum(ion * ion for ion in one.ions)
            if one.pka:
                moles.append(amount)
                groups.append((one, top, ions))
            else:
                charge += amount * top
                squares += amount * (ions + (0 if one.aggregates else one.top_charge**2))
    return np.array(moles).reshape(len(groups), count), tuple(groups), charge, squares


def _buffers(lots: Lots, masses: Mapping[str, Floats], dilution: float) -> tuple[Floats, Floats]:
    """What is known only by titration: slope [mol/pH], and its charge at pH 0 [mol]; both [N]."""
    slope, charge = np.zeros(lots.count), np.zeros(lots.count)
    for inci, mass in masses.items():
        substance = lots.mix.substances[inci]
        slope += mass * substance.buffer
        charge += mass * substance.buffer * substance.neutral_ph
    own = dilution * float(sum(m.buffer * share for m, share in lots.mix.shares))
    return slope + own, charge + own * constants().neutral_ph
