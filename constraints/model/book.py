"""The book of batches: what went into each, what came out, and what was read."""

from dataclasses import dataclass
from enum import StrEnum

from ..values.told import Told


class State(StrEnum):
    """How far a batch has come.

    The stock is lower for a closed batch, and for no other.
    """

    OPEN = "open"
    CLOSED = "closed"
    UNDONE = "undone"


@dataclass(frozen=True, slots=True, repr=False)
class WeighedIn(Told):
    """Some of a material that went into a batch.

    Args:
        material: its name.
        lot: as its supplier numbers it, or empty where that was not noted.
        mass: [kg].
    """

    material: str
    lot: str
    mass: float


@dataclass(frozen=True, slots=True, repr=False)
class BatchMade(Told):
    """A batch in the book.

    Args:
        number: its own, unique in the book.
        bench: the folder of its bench, as seen from the workshop.
        formula: the name of what was made.
        made: the day it was made (ISO).
        state: open, closed or undone.
        bars: how many were wanted.
        came_out: how many came out, or ``None`` where that is not noted.
        weighed: what went in.
        ph: pH read of the mix or the bar, as often as it was read.
        pressed: bars weighed one by one as pressed [kg].
        dried: the same bars weighed again when sold, in the same order [kg].
    """

    number: str
    bench: str
    formula: str
    made: str
    state: State
    bars: int
    came_out: int | None
    weighed: tuple[WeighedIn, ...]
    ph: tuple[float, ...] = ()
    pressed: tuple[float, ...] = ()
    dried: tuple[float, ...] = ()

    @property
    def mix(self) -> float:
        """All that went in [kg]."""
        return sum(one.mass for one in self.weighed)
