"""The base and the buffer with the least sum of absolute misfits over readings of a pH.

A linear program, which a single wrong reading does not bend as it would a least sum of squares.
"""

from collections.abc import Sequence
from math import inf
from statistics import median

from ...constraints.acidity.constants import constants
from ...constraints.model.row import Row
from ..program.outcome import Optimal, Program


def middle_base(charges: Sequence[float], measured: Sequence[float], buffer: float) -> float:
    """The base with the least sum of misfits at a buffer: the median of single readings."""
    neutral = constants().neutral_ph
    return -median(
        charge + buffer * (neutral - ph) for charge, ph in zip(charges, measured, strict=True)
    )


def fitted(charges: Sequence[float], measured: Sequence[float]) -> tuple[float, float]:
    """Base [mol/kg] and buffer [mol/(kg·pH)] with the least sum of misfits.

    Args:
        charges: [N] of what is known at each reading [mol/kg].
        measured: [N] pH.

    Raises:
        RuntimeError: when the solver finds no least misfit, which there is.
    """
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
