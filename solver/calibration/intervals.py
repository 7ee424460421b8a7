"""Readings as intervals: what base and what buffer every one of them leaves possible.

A reading of a pH that is known to lie between two values says that the charge of what is known,
with a base b and a buffer of n per pH below neutral, is not below nothing at the lower value and
not above it at the upper one. Both are linear in b and n. At a buffer each reading therefore leaves
an interval for the base, and its ends move in straight lines as the buffer grows.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import inf

_SAME = 1e-12
"""Ends that lie nearer than this share of them touch."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """What one reading leaves for the base at a buffer n: from ``low`` to ``high`` [mol/kg].

    Args:
        low: of the base without a buffer.
        low_slope: by which that falls for each unit of buffer: neutral less the lower pH.
        high: of the base without a buffer.
        high_slope: neutral less the upper pH.
    """

    low: float
    low_slope: float
    high: float
    high_slope: float

    def at(self, buffer: float) -> tuple[float, float]:
        """Least and most base at a buffer."""
        return self.low - buffer * self.low_slope, self.high - buffer * self.high_slope


def agreeing(readings: Sequence[Bounds], most_buffer: float) -> tuple[float, float] | None:
    """The buffers at which all readings leave some base in common, or ``None``.

    Args:
        readings: at least one.
        most_buffer: the most buffer that is thought possible.
    """
    least, most = 0.0, most_buffer
    for one in readings:
        for other in readings:
            # The one's least is below the other's most from where `rise` has made up for `gap`.
            gap = one.low - other.high
            rise = one.low_slope - other.high_slope
            slack = _SAME * max(abs(one.low), abs(other.high), abs(rise) * most_buffer, _SAME)
            if abs(rise) * most_buffer <= slack:
                if gap > slack:
                    return None
            elif rise > 0.0:
                least = max(least, (gap - slack) / rise)
            else:
                most = min(most, (gap - slack) / rise)
    return (least, most) if least <= most else None


def clash(readings: Sequence[Bounds], most_buffer: float) -> tuple[int, ...]:
    """The smallest set of readings that cannot all be true, the first of them; empty where all can.

    Three are always enough: what they leave possible are convex sets in a plane (Helly).
    """
    for size in (2, 3):
        for group in combinations(range(len(readings)), size):
            if agreeing([readings[one] for one in group], most_buffer) is None:
                return group
    return ()


def fewest_left_out(readings: Sequence[Bounds], most_buffer: float) -> int:
    """How many readings at least have to be wrong for the others to agree."""
    corners = tuple(_corners(readings, most_buffer, ()))
    return min(len(readings) - _most_agreeing(readings, buffer) for buffer in corners)


def _most_agreeing(readings: Sequence[Bounds], buffer: float) -> int:
    ends = [one.at(buffer) for one in readings]
    return max(_holding(ends, low) for low, _ in ends)


def _holding(ends: Iterable[tuple[float, float]], base: float) -> int:
    slack = _SAME * max(abs(base), _SAME)
    return sum(low - slack <= base <= high + slack for low, high in ends)


def spanned(
    readings: Sequence[Bounds],
    most_buffer: float,
    left_out: int,
    buffer: float,
    offsets: Sequence[float],
) -> tuple[float, float] | None:
    """Least and most base that go with a stated buffer, whatever the true base and buffer are.

    Args:
        readings: at least one.
        most_buffer: the most buffer that is thought possible.
        left_out: how many readings may be wrong.
        buffer: the stated one.
        offsets: neutral less pH, for each pH at which what is stated has to hold.

    Returns:
        The ends, so that at each of these pH values the true charge lies between what the stated
        buffer gives with the one and with the other; ``None`` where more readings have to be wrong.
    """
    least, most = inf, -inf
    for at in _corners(readings, most_buffer, (buffer,)):
        for base in _ends(readings, at, left_out):
            moved = [base + (at - buffer) * offset for offset in offsets]
            least, most = min(least, *moved), max(most, *moved)
    return None if least > most else (least, most)


def _ends(readings: Sequence[Bounds], buffer: float, left_out: int) -> tuple[float, ...]:
    """Least and most base in all readings but so many, at a buffer; empty where there is none."""
    ends = [one.at(buffer) for one in readings]
    enough = len(readings) - left_out
    lows = [low for low, _ in ends if _holding(ends, low) >= enough]
    highs = [high for _, high in ends if _holding(ends, high) >= enough]
    return (min(lows), max(highs)) if lows and highs else ()


def _corners(
    readings: Sequence[Bounds], most_buffer: float, besides: Sequence[float]
) -> Iterator[float]:
    """Every buffer at which the ends of what readings leave possible can turn."""
    yield from (0.0, most_buffer, *besides)
    lines = [line for one in readings for line in _lines(one)]
    for (start, slope), (other, other_slope) in combinations(lines, 2):
        if slope != other_slope:
            buffer = (start - other) / (slope - other_slope)
            if 0.0 < buffer < most_buffer:
                yield buffer


def _lines(one: Bounds) -> tuple[tuple[float, float], tuple[float, float]]:
    return (one.low, one.low_slope), (one.high, one.high_slope)
