"""Learning from the bench: the alkalinity and buffer that readings of a titration fix.

At each measured pH the charge balance is linear in what is not known, so the fit is a linear
program: the least sum of absolute misfits, which a single wrong reading does not bend.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf

from ...constraints.acidity.charge import (
    Dispersion,
    Parts,
    disperse,
    equilibrium,
    ionic_strength_at,
    net_charge,
)
from ...constraints.acidity.constants import constants
from ...constraints.bench.readings_reading import Readings
from ...constraints.model.material import Material, Span
from ...constraints.model.row import Row
from ...constraints.model.substance import Substance
from ..program.outcome import Optimal, Program

_ROUNDS = 50
_SETTLED = 1e-9


class Shortage(StrEnum):
    """Why readings cannot fix an alkalinity and a buffer."""

    FEW = "too few readings"
    NARROW = "readings too close in pH"


@dataclass(frozen=True, slots=True)
class NotFixed:
    """The readings leave it open: what they have, and the least they would need."""

    shortage: Shortage
    found: float
    needed: float


@dataclass(frozen=True, slots=True)
class Learned:
    """What readings say of a material or a bar beyond its known substances.

    Args:
        alkalinity: base as strong base [mol/kg]; its ends are what single readings would say.
        buffer: charge taken up per pH step [mol/(kg·pH)].
        charge_misfits: charge left over at each reading [mol/kg of sample].
        ph_misfits: pH predicted from the fit less pH read, at each reading.
        valid: whether the ionic strength stayed within what the activity model is trusted for.
    """

    alkalinity: Span
    buffer: float
    charge_misfits: tuple[float, ...]
    ph_misfits: tuple[float, ...]
    valid: bool


def learn(
    sample: Parts,
    substances: Mapping[str, Substance],
    added: Material,
    readings: Readings,
) -> Learned | NotFixed:
    """Fit a residual alkalinity and a buffer to readings.

    Args:
        sample: the one material that was dispersed, or the materials of a bar with their shares
            [kg/kg]. What a single material's entry says of its alkalinity and buffer is left aside,
            as it is what the readings are to say; a bar's materials keep theirs, and what is
            learnt comes on top.
        substances: every substance they and the added material contain, by INCI name.
        added: the acid or base that was added.
        readings: masses and pH.

    Returns:
        What they say, or why they cannot say it.
    """
    known = constants()
    measured = [ph for _, ph in readings.points]
    if len(measured) < known.least_readings:
        return NotFixed(Shortage.FEW, len(measured), known.least_readings)
    spread = max(measured) - min(measured)
    if spread < known.least_spread:
        return NotFixed(Shortage.NARROW, spread, known.least_spread)
    mixes = [_mix(sample, substances, added, readings, mass) for mass, _ in readings.points]
    alkalinity, buffer = _settled(mixes, measured, readings.sample)
    return _learned(mixes, measured, readings.sample, alkalinity, buffer)


def _mix(
    sample: Parts,
    substances: Mapping[str, Substance],
    added: Material,
    readings: Readings,
    mass: float,
) -> Dispersion:
    """The sample in its water with what was added so far, as far as it is known."""
    if len(sample) == 1:
        sample = [(replace(sample[0][0], alkalinity=None, buffer=0.0), sample[0][1])]
    whole = sum(share for _, share in sample)
    parts = [(material, readings.sample * share / whole) for material, share in sample]
    return disperse([*parts, (added, mass)], substances, readings.water)


def _with(mix: Dispersion, mass: float, alkalinity: float, buffer: float) -> Dispersion:
    return replace(
        mix,
        fixed_charge=mix.fixed_charge + mass * (alkalinity + buffer * constants().neutral_ph),
        fixed_squares=mix.fixed_squares + mass * abs(alkalinity),
        buffer=mix.buffer + mass * buffer,
    )


def _settled(
    mixes: Sequence[Dispersion], measured: Sequence[float], mass: float
) -> tuple[float, float]:
    """Alkalinity and buffer; the ions they bring change the ionic strength they were found at."""
    alkalinity = buffer = 0.0
    for _ in range(_ROUNDS):
        charges = _known_charges(mixes, measured, mass, alkalinity, buffer)
        before = alkalinity, buffer
        alkalinity, buffer = _fitted(charges, measured)
        if max(abs(alkalinity - before[0]), abs(buffer - before[1])) < _SETTLED:
            return alkalinity, buffer
    raise RuntimeError("the fit of the readings did not settle")


def _known_charges(
    mixes: Sequence[Dispersion],
    measured: Sequence[float],
    mass: float,
    alkalinity: float,
    buffer: float,
) -> list[float]:
    """Charge of what is known at each reading [mol/kg of sample]."""
    return [
        net_charge(mix, ph, ionic_strength_at(_with(mix, mass, alkalinity, buffer), ph)) / mass
        for mix, ph in zip(mixes, measured, strict=True)
    ]


def _fitted(charges: Sequence[float], measured: Sequence[float]) -> tuple[float, float]:
    from ..program.session import solve

    # Figures of order one suit a solver's tolerances; the fit is scaled back exactly.
    scale = max(map(abs, charges)) or 1.0
    outcome = solve(_program([charge / scale for charge in charges], measured))
    if not isinstance(outcome, Optimal):
        msg = f"the fit of the readings has a least misfit, yet the solver says {outcome}"
        raise RuntimeError(msg)  # noqa: TRY004 - our own failure, not a wrong type
    base, acid, buffer = outcome.x[:3]
    return (base - acid) * scale, buffer * scale


def _program(charges: Sequence[float], measured: Sequence[float]) -> Program:
    """Least sum of misfits; columns: base, acid, buffer, then charge short and over by reading."""
    count = len(charges)
    columns = 3 + 2 * count
    return Program(
        costs=(0.0,) * 3 + (1.0,) * (2 * count),
        lower=(0.0,) * columns,
        upper=(inf,) * columns,
        whole=(False,) * columns,
        rows=tuple(
            _balance(number, charge, constants().neutral_ph - ph)
            for number, (charge, ph) in enumerate(zip(charges, measured, strict=True))
        ),
    )


def _balance(number: int, charge: float, below_neutral: float) -> Row:
    short = 3 + 2 * number
    terms = {0: 1.0, 1: -1.0, 2: below_neutral, short: 1.0, short + 1: -1.0}
    held = {column: value for column, value in terms.items() if value != 0.0}
    name = f"reading {number + 1}"
    return Row(name, "charge balance", tuple(held), tuple(held.values()), -charge, -charge)


def _learned(
    mixes: Sequence[Dispersion],
    measured: Sequence[float],
    mass: float,
    alkalinity: float,
    buffer: float,
) -> Learned:
    charges = _known_charges(mixes, measured, mass, alkalinity, buffer)
    neutral = constants().neutral_ph
    misfits = [
        charge + alkalinity + buffer * (neutral - ph)
        for charge, ph in zip(charges, measured, strict=True)
    ]
    predicted = [equilibrium(_with(mix, mass, alkalinity, buffer)) for mix in mixes]
    ends = [alkalinity, *(alkalinity - misfit for misfit in misfits)]
    return Learned(
        alkalinity=Span(min(ends), alkalinity, max(ends)),
        buffer=buffer,
        charge_misfits=tuple(misfits),
        ph_misfits=tuple(
            forward - ph for (forward, _), ph in zip(predicted, measured, strict=True)
        ),
        valid=max(salt for _, salt in predicted) <= constants().trusted_to,
    )
