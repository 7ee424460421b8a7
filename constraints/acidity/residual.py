"""The base beyond its substances with which a material reads what it is said to read."""

from collections.abc import Mapping
from dataclasses import replace

from ..model.material import Material, Span
from ..model.substance import Substance
from .activity import davies
from .charge import ROUNDS, SETTLED, Dispersion, in_water, net_charge, strength_made


def residual_of(material: Material, substances: Mapping[str, Substance]) -> Span | None:
    """The residual alkalinity with which the model predicts a material's reading [mol/kg].

    Args:
        material: its contents count at their typical shares.
        substances: every substance it contains, by INCI name.

    Returns:
        Least, typical and most, or ``None`` where nobody read its pH.
    """
    reads = material.reads
    if reads is None:
        return None
    bare = replace(material, alkalinity=Span(0.0, 0.0, 0.0))
    mix = in_water([(bare, 1.0)], substances, reads.dilution)
    ends = (reads.ph.low, reads.ph.typical, reads.ph.high)
    return Span(*(base_at(mix, ph) / reads.dilution for ph in ends))


def base_at(mix: Dispersion, ph: float) -> float:
    """Strong base to add to a dispersion for it to have a pH [mol]; acid is negative.

    The ions that it brings count in the ionic strength, as those of a residual alkalinity do.
    Repetition comes to rest as long as that strength is little felt; bisection always does.
    """
    ionic_strength = _made(mix, ph, 0.0)
    for _ in range(ROUNDS):
        before, ionic_strength = ionic_strength, _made(mix, ph, ionic_strength)
        if abs(ionic_strength - before) <= SETTLED * before:
            return -net_charge(mix, ph, ionic_strength)
    low, high = 0.0, 1.0
    while _made(mix, ph, high) > high:
        low, high = high, 2.0 * high
    while high - low > SETTLED * high:
        middle = (low + high) / 2.0
        low, high = (middle, high) if _made(mix, ph, middle) > middle else (low, middle)
    return -net_charge(mix, ph, high)


def _made(mix: Dispersion, ph: float, assumed: float) -> float:
    added = abs(net_charge(mix, ph, assumed))
    return strength_made(mix, ph, assumed) + added / (2.0 * mix.water)


def at_zero(pka: tuple[float, ...], top_charge: int, ionic_strength: float) -> tuple[float, ...]:
    """Constants measured in a salt solution, as they are without salt.

    Compilations of stability constants give concentrations at equilibrium; each of the three ions
    of a step HA = A + H then moves by its own activity coefficient, so that
    pKa(0) = pKa(I) + 2·(1 − z)·D(I), with z the charge of HA and D that of Davies.

    Args:
        pka: stepwise constants as measured, ascending.
        top_charge: charge of the fully protonated form.
        ionic_strength: of the solution they were measured in [mol/kg water].

    >>> at_zero((4.56,), 0, 0.1)  # acetic acid: 4.757
    (4.774,)
    """
    shift = davies(ionic_strength)
    steps = enumerate(pka)
    return tuple(round(one + 2 * (1 - top_charge + lost) * shift, 3) for lost, one in steps)
