"""The pH of very many compositions at once: the model of `acidity`, vectorised."""

from collections.abc import Mapping, Sequence

import numpy as np

from ..model.material import Material
from ..model.substance import Substance
from .charge import disperse, equilibrium, in_water, refuse_dilution, refuse_dry
from .coefficients import End, Parts
from .equilibria import Block, Floats, equilibria

# Compositions taken at once: many enough to pay for the few that take many steps.
_BLOCK = 16384


def predict_many(
    materials: Sequence[Material],
    substances: Mapping[str, Substance],
    shares: Floats,
    dilution: float,
    *,
    end: End = "typical",
) -> tuple[Floats, Floats]:
    """The pH of many mixes dispersed in water; the same figures as one by one.

    Args:
        materials: [n] in the order of the shares.
        substances: every substance they contain, by INCI name.
        shares: [N, n] each row a composition [kg/kg], adding to one.
        dilution: mass of bar in a mass of dispersion [kg/kg].
        end: which end of the span of the residual alkalinities.

    Returns:
        pH [N] and ionic strength [N] [mol/kg water].

    Raises:
        ValueError: when the dilution is not in (0, 1] or a mix has no water.
    """
    per_material = _per_material(materials, substances, dilution, end)
    ph = np.empty(len(shares))
    ionic_strength = np.empty(len(shares))
    for start in range(0, len(shares), _BLOCK):
        rows = slice(start, start + _BLOCK)
        block = _mixed(per_material, np.asarray(shares[rows], dtype=np.float64))
        refuse_dry(float(block.water.min(initial=np.inf)))
        ph[rows], ionic_strength[rows], stubborn = equilibria(block)
        for row in np.flatnonzero(stubborn) + start:
            parts: Parts = list(zip(materials, map(float, shares[row]), strict=True))
            ph[row], ionic_strength[row] = equilibrium(in_water(parts, substances, dilution, end))
    return ph, ionic_strength


def _per_material(
    materials: Sequence[Material], substances: Mapping[str, Substance], dilution: float, end: End
) -> Block:
    """One dispersion a material: a mix is their weighted sum."""
    refuse_dilution(dilution)
    # The kilogram of water only keeps a dry material from being refused, and goes out again.
    alone = [disperse([(material, dilution)], substances, 1.0, end) for material in materials]
    groups = list(dict.fromkeys(solute[1:] for mix in alone for solute in mix.solutes))
    moles = np.zeros((len(groups), len(materials)))
    for column, mix in enumerate(alone):
        for amount, ionisation, top, ions in mix.solutes:
            moles[groups.index((ionisation, top, ions)), column] += amount
    return Block(
        np.array([mix.water - 1.0 + (1.0 - dilution) for mix in alone]),
        moles,
        np.array([mix.fixed_charge for mix in alone]),
        np.array([mix.fixed_squares for mix in alone]),
        np.array([mix.buffer for mix in alone]),
        tuple(groups),
    )


def _mixed(per_material: Block, shares: Floats) -> Block:
    turned = shares.T
    return Block(
        per_material.water @ turned,
        per_material.moles @ turned,
        per_material.fixed_charge @ turned,
        per_material.fixed_squares @ turned,
        per_material.buffer @ turned,
        per_material.groups,
    )
