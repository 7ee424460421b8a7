"""The pH of very many compositions at once: the model of `acidity`, vectorised."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.material import Material
from ..model.substance import Ionisation, Substance
from .charge import (
    HIGHEST_PH,
    LOWEST_PH,
    ROOT_STEP,
    ROUNDS,
    SETTLED,
    End,
    Parts,
    disperse,
    equilibrium,
    in_water,
)
from .constants import constants

Floats = NDArray[np.float64]

_LN10 = math.log(10.0)
# Compositions taken at once: many enough to pay for the few that take many steps.
_BLOCK = 16384


@dataclass(frozen=True, slots=True)
class Block:
    """Dispersions side by side; every field is linear in the shares."""

    water: Floats  # [N] kg
    moles: Floats  # [K, N] mol
    fixed_charge: Floats  # [N] mol
    fixed_squares: Floats  # [N] mol
    buffer: Floats  # [N] mol/pH
    groups: tuple[tuple[Ionisation, int, int], ...]  # [K] groups, top charge with ions, Σ ions²

    def only(self, live: NDArray[np.bool_]) -> "Block":
        """The dispersions that are still being worked on."""
        return Block(
            self.water[live],
            self.moles[:, live],
            self.fixed_charge[live],
            self.fixed_squares[live],
            self.buffer[live],
            self.groups,
        )


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
        if not bool(np.all(block.water > 0.0)):
            raise ValueError("a pH needs water: there is none in the dispersion")
        ph[rows], ionic_strength[rows], stubborn = equilibria(block)
        for row in np.flatnonzero(stubborn) + start:
            parts: Parts = list(zip(materials, map(float, shares[row]), strict=True))
            ph[row], ionic_strength[row] = equilibrium(in_water(parts, substances, dilution, end))
    return ph, ionic_strength


def _per_material(
    materials: Sequence[Material], substances: Mapping[str, Substance], dilution: float, end: End
) -> Block:
    """One dispersion a material: a mix is their weighted sum."""
    if not 0.0 < dilution <= 1.0:
        msg = f"a dilution lies above 0 and at most at 1, not at {dilution}"
        raise ValueError(msg)
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


def _davies(ionic_strength: Floats) -> Floats:
    known = constants()
    held = np.minimum(ionic_strength, known.held_beyond)
    root = np.sqrt(held)
    return np.asarray(known.davies_a * (root / (1.0 + root) - known.davies_b * held))


def _state(block: Block, ph: Floats, ionic_strength: Floats) -> tuple[Floats, Floats, Floats]:
    """Net charge, its fall per pH and the ionic strength it makes; all [N]."""
    shift = _davies(ionic_strength)
    hydrogen = 10.0 ** (shift - ph)
    hydroxide = 10.0 ** (shift + ph - constants().pkw)
    charge = block.fixed_charge - block.buffer * ph + block.water * (hydrogen - hydroxide)
    spread = block.water * (hydrogen + hydroxide)
    squares = block.fixed_squares + spread
    powers: dict[int, Floats] = {}
    for moles, (groups, top, ions) in zip(block.moles, block.groups, strict=True):
        lost, lost_squared = _moments(groups, ph, shift, powers)
        charge += moles * (top - lost)
        spread += moles * (lost_squared - lost * lost)
        own = groups.top_charge
        mean_square = 0.0 if groups.aggregates else own * own - 2 * own * lost + lost_squared
        squares += moles * (ions + mean_square)
    return charge, block.buffer + _LN10 * spread, squares / (2.0 * block.water)


def _moments(
    groups: Ionisation, ph: Floats, shift: Floats, powers: dict[int, Floats]
) -> tuple[Floats, Floats]:
    """Mean protons lost and their mean square; ``powers`` keeps 10^(pH + step·shift) by step."""
    weight: Floats | float = 1.0
    total: Floats | float = 1.0
    lost: Floats | float = 0.0
    squares: Floats | float = 0.0
    for protons, pka in enumerate(groups.pka, start=1):
        step = 0 if groups.aggregates else 1 - 2 * (groups.top_charge - protons + 1)
        if step not in powers:
            powers[step] = 10.0 ** (ph + step * shift)
        weight = weight * powers[step] * 10.0**-pka
        total = total + weight
        lost = lost + protons * weight
        squares = squares + protons * protons * weight
    mean = np.asarray(lost / total)
    return mean, mean if len(groups.pka) == 1 else np.asarray(squares / total)


def equilibria(block: Block, near: float = 7.0) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """pH, ionic strength, and which of them iteration did not settle; all [N].

    Every mix takes the steps it would take alone, and leaves when it has settled: one that needs
    many steps does not hold up the others.

    Args:
        block: the dispersions.
        near: the pH from which the search begins.
    """
    count = len(block.water)
    answers = np.full(count, near), np.zeros(count)
    stubborn = np.ones(count, dtype=np.bool_)
    index = np.arange(count)
    search = _Search.begin(block, answers[0])
    while len(index):
        search.step(block)
        settled, given_up = search.turn()
        leaving = settled | given_up
        if not leaving.any():
            continue
        for answer, found in zip(answers, (search.ph, search.ionic_strength), strict=True):
            answer[index[leaving]] = found[leaving]
        stubborn[index[settled]] = False
        index, block = index[~leaving], block.only(~leaving)
        search.keep(~leaving)
    return *answers, stubborn


class _Search:
    """Where each mix stands: a bracketed Newton search within an iteration on ionic strength."""

    __slots__ = ("before", "high", "ionic_strength", "last", "low", "made", "ph", "rounds", "start")

    def __init__(self, ph: Floats, ionic_strength: Floats) -> None:
        self.ph, self.ionic_strength = ph, ionic_strength
        self.start, self.made = ph, ionic_strength
        self.rounds = np.zeros(ph.shape, dtype=np.int64)
        self.low, self.high = np.full_like(ph, LOWEST_PH), np.full_like(ph, HIGHEST_PH)
        self.before = self.last = self.high - self.low

    @classmethod
    def begin(cls, block: Block, ph: Floats) -> "_Search":
        """From a first guess of the pH."""
        return cls(ph, _state(block, ph, np.zeros_like(ph))[2])

    def step(self, block: Block) -> None:
        """One safeguarded step towards no charge, as `acidity` takes it."""
        charge, fall, self.made = _state(block, self.ph, self.ionic_strength)
        above = charge > 0.0
        self.low, self.high = (
            np.where(above, self.ph, self.low),
            np.where(above, self.high, self.ph),
        )
        scale = 1e-7 * block.water
        step = np.arcsinh(charge / scale) * np.hypot(charge, scale) / fall
        to = self.ph + step
        astray = (to < self.low) | (to > self.high) | (np.abs(step) > 0.5 * self.before)
        step = np.where(astray, (self.low + self.high) / 2.0 - self.ph, step)
        self.before, self.last = self.last, np.abs(step)
        self.ph = self.ph + step

    def turn(self) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Which have settled and which are given up; those at a root go on with its salt."""
        at_root = self.last < ROOT_STEP
        settled = at_root & (np.abs(self.ph - self.start) < SETTLED)
        self.ionic_strength = np.where(at_root, self.made, self.ionic_strength)
        self.start = np.where(at_root, self.ph, self.start)
        self.low, self.high = (
            np.where(at_root, LOWEST_PH, self.low),
            np.where(at_root, HIGHEST_PH, self.high),
        )
        self.before = np.where(at_root, HIGHEST_PH - LOWEST_PH, self.before)
        self.last = np.where(at_root, HIGHEST_PH - LOWEST_PH, self.last)
        self.rounds = self.rounds + at_root
        return settled, (self.rounds >= ROUNDS) & ~settled

    def keep(self, live: NDArray[np.bool_]) -> None:
        """Go on with these alone."""
        for name in self.__slots__:
            setattr(self, name, getattr(self, name)[live])
