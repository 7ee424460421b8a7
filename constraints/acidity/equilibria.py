"""Very many dispersions brought to their own pH and ionic strength side by side.

Nearly all of them settle together in a few steps from a pH that is near. The rest are searched for
one bracket at a time, as a dispersion is that stands alone.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..model.substance import Ionisation
from .activity import LN10
from .charge import HIGHEST_PH, LOWEST_PH, ROOT_STEP, ROUNDS, SETTLED
from .constants import constants

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_TOGETHER = 16
"""Steps taken side by side before those that have not settled are searched for."""

_FARTHEST = 1.0
"""No step side by side is longer [pH]: where one would be, the charge is far from straight."""


@dataclass(frozen=True, slots=True)
class Block:
    """Dispersions side by side; every field is linear in the shares."""

    water: Floats  # [N] kg
    moles: Floats  # [K, N] mol
    fixed_charge: Floats  # [N] mol
    fixed_squares: Floats  # [N] mol
    buffer: Floats  # [N] mol/pH
    groups: tuple[tuple[Ionisation, int, int], ...]  # [K] groups, top charge with ions, Σ ions²

    def only(self, live: Flags) -> "Block":
        """The dispersions that are still being worked on."""
        return Block(
            self.water[live],
            self.moles[:, live],
            self.fixed_charge[live],
            self.fixed_squares[live],
            self.buffer[live],
            self.groups,
        )


def equilibria(
    block: Block, near: float = 7.0, salt: float | None = None
) -> tuple[Floats, Floats, Flags]:
    """pH, ionic strength, and which of them iteration did not settle; all [N].

    Args:
        block: the dispersions.
        near: the pH from which the search begins.
        salt: the ionic strength from which it begins [mol/kg water]; without one, that at this pH.
    """
    ph, ionic_strength, settled = _together(block, near, salt)
    stubborn = np.zeros(len(ph), dtype=np.bool_)
    if not settled.all():
        left = ~settled
        ph[left], ionic_strength[left], stubborn[left] = _searched(block.only(left), near)
    return ph, ionic_strength, stubborn


def _together(block: Block, near: float, salt: float | None) -> tuple[Floats, Floats, Flags]:
    """A step towards no charge and the salt that is made there, again and again, for all at once.

    Near its pH a dispersion takes up base nearly evenly, so that Newton's step goes straight there,
    and what salt does to a pH and a pH to the salt is little: each step leaves a small part of what
    was amiss in both. Whichever does not come to rest so is not taken.
    """
    ph = np.full(len(block.water), near)
    ionic_strength = np.zeros_like(ph) if salt is None else np.full_like(ph, salt)
    if salt is None:
        ionic_strength = _state(block, ph, ionic_strength)[2]
    settled = np.zeros(len(ph), dtype=np.bool_)
    for _ in range(_TOGETHER if len(ph) else 0):
        charge, fall, made = _state(block, ph, ionic_strength)
        step = np.clip(charge / fall, -_FARTHEST, _FARTHEST)
        settled = (np.abs(step) < SETTLED) & (np.abs(made - ionic_strength) <= SETTLED * made)
        ph, ionic_strength = ph + step, made
        if settled.all():
            break
    return ph, ionic_strength, settled


def _searched(block: Block, near: float) -> tuple[Floats, Floats, Flags]:
    """The same for dispersions that take steps of their own.

    Each takes the steps it would take alone, and leaves when it has settled: one that needs many
    does not hold up the others.
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

    def turn(self) -> tuple[Flags, Flags]:
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

    def keep(self, live: Flags) -> None:
        """Go on with these alone."""
        for name in self.__slots__:
            setattr(self, name, getattr(self, name)[live])


def _davies(ionic_strength: Floats) -> Floats:
    known = constants()
    held = np.minimum(ionic_strength, known.held_beyond)
    root = np.sqrt(held)
    return np.asarray(known.davies_a * (root / (1.0 + root) - known.davies_b * held))


def _state(block: Block, ph: Floats, ionic_strength: Floats) -> tuple[Floats, Floats, Floats]:
    """Net charge, its fall per pH and the ionic strength it makes; all [N]."""
    powers = _Powers(ph, _davies(ionic_strength))
    hydrogen = block.water / powers.of(-1)
    hydroxide = block.water * powers.of(1) * 10.0 ** -constants().pkw
    charge = block.fixed_charge - block.buffer * ph + (hydrogen - hydroxide)
    spread = hydrogen + hydroxide
    squares = block.fixed_squares + spread
    for moles, (groups, top, ions) in zip(block.moles, block.groups, strict=True):
        lost, lost_squared = _moments(groups, powers)
        charge += moles * (top - lost)
        spread += moles * (lost_squared - lost * lost)
        own = groups.top_charge
        if groups.aggregates:
            squares += moles * ions
        else:
            squares += moles * ((ions + own * own) - 2 * own * lost + lost_squared)
    return charge, block.buffer + LN10 * spread, squares / (2.0 * block.water)


class _Powers:
    """10^(pH + step·shift) by step, each worked out once."""

    __slots__ = ("_known", "_shift")

    def __init__(self, ph: Floats, shift: Floats) -> None:
        self._known: dict[int, Floats] = {0: np.exp(LN10 * ph)}
        self._shift = np.exp(LN10 * shift)

    def of(self, step: int) -> Floats:
        """[N], from that of the step before, towards no step."""
        if step not in self._known:
            nearer = self.of(step - 1 if step > 0 else step + 1)
            self._known[step] = nearer * self._shift if step > 0 else nearer / self._shift
        return self._known[step]


def _moments(groups: Ionisation, powers: _Powers) -> tuple[Floats, Floats]:
    """Mean protons lost and their mean square."""
    steps = [
        0 if groups.aggregates else 1 - 2 * (groups.top_charge - lost)
        for lost in range(len(groups.pka))
    ]
    weight = powers.of(steps[0]) * 10.0 ** -groups.pka[0]
    if len(steps) == 1:
        mean = np.asarray(weight / (1.0 + weight))
        return mean, mean
    total, lost, squares = 1.0 + weight, weight, weight
    for protons, (step, pka) in enumerate(zip(steps[1:], groups.pka[1:], strict=True), start=2):
        weight = weight * powers.of(step) * 10.0**-pka
        total = total + weight
        lost = lost + protons * weight
        squares = squares + protons * protons * weight
    return np.asarray(lost / total), np.asarray(squares / total)
