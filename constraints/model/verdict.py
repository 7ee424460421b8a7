"""What a rule says of a composition."""

from dataclasses import dataclass
from enum import StrEnum

from ..values.told import Told
from .rule import Limited, Rule

TOLERANCE = 1e-7
"""A rule is broken when it is missed by more than this [kg/kg of mix]: 0.000 01 %."""


class Unsure(StrEnum):
    """Why a rule is neither kept nor broken for certain; it does not count as kept."""

    SALT = "more salt in the water than the prediction of pH is trusted for"
    UNKNOWN = "what a material of unknown residual alkalinity brings may lead out of the band"


@dataclass(frozen=True, slots=True, repr=False)
class Verdict(Told):
    """What one rule says of a composition.

    Args:
        rule: the rule.
        value: what the rule is about, in its canonical unit; ``None`` where there is none, such as
            a ratio to nothing.
        kept: whether it holds within the tolerance, for certain.
        room_low: how far the value stands above the lower limit, negative below it; ``None`` where
            that side is free or there is no value.
        room_high: the same for the upper limit.
        idle: whether it asks nothing, since nothing that it is about is used.
        unsure: why it may hold or not as far as is known; ``None`` where that is settled.
    """

    rule: Rule
    value: float | None
    kept: bool
    room_low: float | None
    room_high: float | None
    idle: bool = False
    unsure: Unsure | None = None

    @property
    def room(self) -> float | None:
        """Room left on the nearer side, or ``None`` where neither side has one."""
        rooms = [room for room in (self.room_low, self.room_high) if room is not None]
        return min(rooms, default=None)

    def room_on(self, side: str) -> float | None:
        """Room left on one side, ``None`` where it is free."""
        return self.room_low if side == "low" else self.room_high


def within(
    rule: Limited, value: float, tolerance: float = TOLERANCE, *, idle: bool = False
) -> Verdict:
    """The verdict on a value that must lie between a rule's limits."""
    room_low = None if rule.low is None else value - rule.low
    room_high = None if rule.high is None else rule.high - value
    kept = all(room is None or room >= -tolerance for room in (room_low, room_high))
    return Verdict(rule, value, kept, room_low, room_high, idle and kept)


def asks_nothing(rule: Rule) -> Verdict:
    """The verdict of a rule about something that is not used."""
    return Verdict(rule, None, kept=True, room_low=None, room_high=None, idle=True)
