"""One limit of time for all that a command does, handed down from where it was asked for."""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from time import monotonic, process_time

EXPLAINED_S = 2.0
"""So long may explaining an answer take, however quickly it was found [s of the processor]."""

FOR_EACH = 1.5
"""And so much of the processor for each second that finding it took, where that is longer [-]."""

REFUSAL_S = 6.0
"""So long may explaining why there is none take [s of the processor]."""


@dataclass(frozen=True, slots=True)
class Deadline:
    """A moment after which nothing new is begun.

    Args:
        at: on its clock [s]; ``inf`` for never.
        clock: the time now [s]; it never goes back.
        outer: another, by a clock of its own, that it never outlasts.
    """

    at: float = inf
    clock: Callable[[], float] = monotonic
    outer: "Deadline | None" = None

    @classmethod
    def after(cls, seconds: float | None, clock: Callable[[], float] = monotonic) -> "Deadline":
        """So many seconds from now; never for ``None``."""
        return cls(inf if seconds is None else clock() + seconds, clock)

    @property
    def left(self) -> float:
        """The time that is left, at least 0 [s]."""
        own = inf if self.at == inf else max(self.at - self.clock(), 0.0)
        return own if self.outer is None else min(own, self.outer.left)

    def passed(self) -> bool:
        """Whether no time is left."""
        return self.left <= 0.0

    @property
    def is_never(self) -> bool:
        """Whether it does not come."""
        return self.at == inf and (self.outer is None or self.outer.is_never)

    def within(self, seconds: float) -> "Deadline":
        """The same, or so many seconds from now where that is sooner."""
        return Deadline(min(self.at, self.clock() + seconds), self.clock, self.outer)

    def part(self, fraction: float) -> "Deadline":
        """When so much of the time that is left has gone."""
        return self if self.is_never else self.within(self.left * fraction)

    def for_explaining(self, spent: float, least: float = EXPLAINED_S) -> "Deadline":
        """When to leave explanations undone, after an answer that took so long to find [s].

        Explanations take little more than as long as what they explain, once that is long. What
        counts is the processor's time: a busy machine makes no answer poorer.

        Args:
            spent: what finding the answer took [s].
            least: so long they may take however quickly it was found [s].
        """
        if self.is_never:
            return self
        return Deadline(process_time() + max(least, FOR_EACH * spent), process_time, self)


NEVER = Deadline()
"""For a caller who will wait as long as it takes."""

TIME_RAN_OUT = "the time allowed ran out"
"""Why a search was stopped that had no more time."""
