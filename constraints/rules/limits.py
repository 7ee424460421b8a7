"""One more unit of a limit: the step in which a maker thinks of moving it."""

from math import floor, log10
from typing import TYPE_CHECKING

from ..model.verdict import TOLERANCE

if TYPE_CHECKING:
    from ..model.lots import Flags, Floats
    from ..model.rule import Limited


def share_step(limit: float) -> float:
    """A whole per cent from 10 %, a tenth from 0.2 % and a hundredth below [kg/kg].

    >>> share_step(0.4), share_step(0.02), share_step(0.001)
    (0.01, 0.001, 0.0001)
    """
    if limit >= 0.1:
        return 0.01
    return 0.001 if limit >= 0.002 else 0.0001


def tenth_of_its_size(limit: float) -> float:
    """A tenth of the power of ten below a limit, for figures of any unit.

    >>> tenth_of_its_size(1.05), tenth_of_its_size(0.0)
    (0.1, 0.1)
    """
    return float(10.0 ** floor(log10(abs(limit)))) / 10 if limit else 0.1


def kept_between(rule: "Limited", values: "Floats", tolerance: float = TOLERANCE) -> "Flags":
    """[N] which of many values lie between a rule's limits."""
    from ..model.lots import within_limits  # only who judges many lots pays for it

    return within_limits(values, rule.low, rule.high, tolerance)
