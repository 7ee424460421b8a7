"""Learning from the bench: the alkalinity and buffer that readings of a pH leave possible.

At each measured pH the charge balance is linear in what is not known, so the fit is a linear
program: the least sum of absolute misfits, which a single wrong reading does not bend. Its ends are
what the readings leave possible when each is an interval by what its instrument shows.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import permutations
from math import ceil

from ...constraints.acidity.charge import (
    Dispersion,
    disperse,
    equilibrium,
    ionic_strength_at,
    net_charge,
)
from ...constraints.acidity.coefficients import Parts, charge_of_material
from ...constraints.acidity.constants import constants
from ...constraints.bench.readings_reading import Readings
from ...constraints.model.material import Material, Span
from ...constraints.model.substance import Substance
from .fitting import fitted, middle_base
from .intervals import Bounds, clash, fewest_left_out, spanned

_ROUNDS, _SETTLED = 50, 1e-9


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Readings that cannot all be true, and so many that nothing is learnt from them.

    Args:
        clash: the smallest set of them that clashes, by their numbers from 0.
        against: whether the pH went against what was added: up with acid, down with base.
        left_out: how many at least have to be wrong.
    """

    clash: tuple[int, ...]
    against: bool
    left_out: int


@dataclass(frozen=True, slots=True)
class Learned:
    """What readings say of a material or a bar beyond its known substances.

    Args:
        alkalinity: base as strong base [mol/kg]; its ends are what the readings leave possible,
            each within what its instrument shows, at every pH that was read and at neutral.
        buffer: charge taken up per pH step [mol/(kg·pH)]; as known before where the readings lie
            too near to each other to tell.
        buffer_learnt: whether they tell.
        charge_misfits: charge left over at each reading [mol/kg of sample].
        ph_misfits: pH predicted from the fit less pH read, at each reading.
        valid: whether the ionic strength stayed within what the activity model is trusted for.
        clash: the smallest set of readings that cannot all be true, by their numbers from 0; empty
            where all can.
        against: whether these say that the pH went against what was added.
        left_out: how many readings were allowed to be wrong.
        first: what the readings leave for the charge beyond what is known at the pH that was read
            first [mol/kg].
    """

    alkalinity: Span
    buffer: float
    buffer_learnt: bool
    charge_misfits: tuple[float, ...]
    ph_misfits: tuple[float, ...]
    valid: bool
    clash: tuple[int, ...]
    against: bool
    left_out: int
    first: Span


def learn(
    sample: Parts,
    substances: Mapping[str, Substance],
    added: Material | None,
    readings: Readings,
) -> Learned | Contradiction:
    """What readings say of a residual alkalinity and a buffer.

    Args:
        sample: the one material that was dispersed, or the materials of a bar with their shares
            [kg/kg]. What a single material's entry says of its alkalinity is left aside, as it is
            what the readings are to say, and so is its buffer where they tell it; a bar's materials
            keep theirs, and what is learnt comes on top.
        substances: every substance they and the added material contain, by INCI name.
        added: the acid or base that was added, if any was.
        readings: masses and pH; one is enough.

    Returns:
        What they say, or which of them contradict each other.
    """
    measured = [ph for _, ph in readings.points]
    mixes = [_mix(sample, substances, added, readings, mass) for mass, _ in readings.points]
    held = None if _tells_buffer(measured) else _known_buffer(sample)
    alkalinity, buffer = _settled(mixes, measured, readings.sample, held)
    bounds = _bounds(mixes, readings, alkalinity, buffer, learnt=held is None)
    most = constants().most_buffer if held is None else 0.0
    against = _against(readings, _pull(added, substances))
    clashing = against or clash(bounds, most)
    least = fewest_left_out(bounds, most) if clashing else 0
    if least > _most_wrong(len(measured)):
        return Contradiction(clashing, bool(against), least)
    found = _learned(mixes, measured, readings.sample, alkalinity, buffer)
    left_out = max(least, _thought_wrong(len(measured)))
    given = buffer if held is None else 0.0
    whole = _spanned(bounds, most, left_out, given, _offsets(measured))
    below = constants().neutral_ph - measured[0]
    first = _spanned(bounds, most, left_out, 0.0, (below,))
    shift = 0.0 if held is None else buffer * below
    return replace(
        found,
        alkalinity=_around(whole, alkalinity),
        buffer_learnt=held is None,
        clash=clashing,
        against=bool(against),
        left_out=left_out,
        first=_around((first[0] + shift, first[1] + shift), None),
    )


def _tells_buffer(measured: Sequence[float]) -> bool:
    known = constants()
    spread = max(measured) - min(measured)
    return len(measured) >= known.least_readings and spread >= known.least_spread


def _known_buffer(sample: Parts) -> float:
    """What is known of the one material that was read; a bar's materials keep theirs."""
    return sample[0][0].buffer if len(sample) == 1 else 0.0


def _most_wrong(count: int) -> int:
    known = constants()
    return ceil(count * known.most_wrong) if count >= known.enough_to_tell else 0


def _thought_wrong(count: int) -> int:
    known = constants()
    return ceil(count / known.wrong_in) if count >= known.enough_to_tell else 0


def _offsets(measured: Sequence[float]) -> tuple[float, ...]:
    """Where what is stated has to hold: over what was read, and at neutral."""
    neutral = constants().neutral_ph
    return neutral - min(measured), neutral - max(measured), 0.0


def _bounds(
    mixes: Sequence[Dispersion],
    readings: Readings,
    alkalinity: float,
    buffer: float,
    *,
    learnt: bool,
) -> tuple[Bounds, ...]:
    """What each reading leaves for the base; a buffer that is known counts with what is known."""
    within, mass, neutral = readings.instrument.within, readings.sample, constants().neutral_ph
    ends = []
    for step in (-within, within):
        at = [ph + step for _, ph in readings.points]
        charges = _known_charges(mixes, at, mass, alkalinity, buffer)
        below = [neutral - ph for ph in at]
        held = [0.0 if learnt else buffer * one for one in below]
        slopes = below if learnt else [0.0] * len(below)
        base = [-charge - kept for charge, kept in zip(charges, held, strict=True)]
        ends.append(list(zip(base, slopes, strict=True)))
    return tuple(Bounds(*low, *high) for low, high in zip(*ends, strict=True))


def _spanned(
    bounds: Sequence[Bounds], most: float, left_out: int, buffer: float, offsets: Sequence[float]
) -> tuple[float, float]:
    found = spanned(bounds, most, left_out, buffer, offsets)
    if found is None:
        raise RuntimeError("readings that agree leave nothing possible")
    return found


def _around(ends: tuple[float, float], typical: float | None) -> Span:
    """A fit that lies beyond what the readings leave possible is drawn to its end."""
    low, high = ends
    middle = (low + high) / 2.0 if typical is None else min(max(typical, low), high)
    return Span(low, middle, high)


def _pull(added: Material | None, substances: Mapping[str, Substance]) -> int:
    """Which way what was added pulls: -1 down, 1 up, 0 neither."""
    if added is None:
        return 0
    charge = charge_of_material(added, substances, constants().neutral_ph, 0.0)
    return (charge > 0.0) - (charge < 0.0)


def _against(readings: Readings, pull: int) -> tuple[int, ...]:
    """Two readings of which the one with more added says that the pH went the other way."""
    apart = 2.0 * readings.instrument.within
    points = readings.points
    for one, other in permutations(range(len(points)), 2):
        (mass, ph), (later, then) = points[one], points[other]
        if later > mass and (ph - then) * pull > apart:
            return tuple(sorted((one, other)))
    return ()


def _mix(
    sample: Parts,
    substances: Mapping[str, Substance],
    added: Material | None,
    readings: Readings,
    mass: float,
) -> Dispersion:
    """The sample in its water with what was added so far, as far as it is known."""
    if len(sample) == 1:
        sample = [(replace(sample[0][0], alkalinity=Span(0.0, 0.0, 0.0), buffer=0.0), sample[0][1])]
    whole = sum(share for _, share in sample)
    parts = [(material, readings.sample * share / whole) for material, share in sample]
    if added is not None:
        parts.append((added, mass))
    return disperse(parts, substances, readings.water)


def _with(mix: Dispersion, mass: float, alkalinity: float, buffer: float) -> Dispersion:
    return replace(
        mix,
        fixed_charge=mix.fixed_charge + mass * (alkalinity + buffer * constants().neutral_ph),
        fixed_squares=mix.fixed_squares + mass * abs(alkalinity),
        buffer=mix.buffer + mass * buffer,
    )


def _settled(
    mixes: Sequence[Dispersion], measured: Sequence[float], mass: float, held: float | None
) -> tuple[float, float]:
    """Alkalinity and buffer; the ions they bring change the ionic strength they were found at.

    A buffer that is held is left as it is.
    """
    alkalinity, buffer = 0.0, held or 0.0
    for _ in range(_ROUNDS):
        charges = _known_charges(mixes, measured, mass, alkalinity, buffer)
        before = alkalinity, buffer
        alkalinity, buffer = (
            fitted(charges, measured)
            if held is None
            else (middle_base(charges, measured, held), held)
        )
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
    return Learned(
        alkalinity=Span(alkalinity, alkalinity, alkalinity),
        buffer=buffer,
        buffer_learnt=True,
        charge_misfits=tuple(misfits),
        ph_misfits=tuple(
            forward - ph for (forward, _), ph in zip(predicted, measured, strict=True)
        ),
        valid=max(salt for _, salt in predicted) <= constants().trusted_to,
        clash=(),
        against=False,
        left_out=0,
        first=Span(0.0, 0.0, 0.0),
    )
