"""The ratio of two masses lies between limits; exact, and never a division by nothing."""

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

from ..model.mix import TRACE
from ..model.row import less, row
from ..model.rule import Limited, Selector, Side
from ..model.verdict import TOLERANCE, Verdict
from ..values.table import Table
from ..values.units import Dimension, shown
from .scene import Scene
from .weighted import Weighted, in_frame, in_lots, in_mix, read_sums, some_there
from .written import LIMITS, Common, Written, limits_of, unit_of

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.lots import Flags, Floats, Lots
    from ..model.mix import Mix
    from ..model.row import Row


@dataclass(frozen=True, slots=True)
class Ratio(Limited):
    """The mass of ``of`` over the mass of ``to`` lies between the limits [kg/kg].

    Either may be a weighted sum.
    """

    of: Selector | Weighted
    to: Selector | Weighted

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``(a − low·b)·x ≥ 0`` and ``(a − high·b)·x ≤ 0``."""
        of, to = in_frame(self.of, frame), in_frame(self.to, frame)
        rows = []
        if self.low is not None:
            rows.append(row(self.id, "at least", less(of, to, self.low), 0.0, inf))
        if self.high is not None:
            rows.append(row(self.id, "at most", less(of, to, self.high), -inf, 0.0))
        return rows

    def judged(self, mix: "Mix") -> Verdict:
        """Judged as masses, so that a ratio to nothing is no division by zero."""
        of, to = in_mix(self.of, mix), in_mix(self.to, mix)
        kept = (self.low is None or of - self.low * to >= -TOLERANCE) and (
            self.high is None or of - self.high * to <= TOLERANCE
        )
        if to <= TRACE:
            return Verdict(self, None, kept, None, None)
        ratio = of / to
        room_low = None if self.low is None else ratio - self.low
        room_high = None if self.high is None else self.high - ratio
        return Verdict(self, ratio, kept, room_low, room_high)

    def value_in(self, lots: "Lots") -> "Floats":
        """The ratio; not a number to nothing."""
        of, to = in_lots(self.of, lots), in_lots(self.to, lots)
        to[to <= TRACE] = float("nan")
        return of / to

    def kept_in(self, lots: "Lots") -> "Flags":
        """Judged as masses."""
        of, to = in_lots(self.of, lots), in_lots(self.to, lots)
        kept = lots.all_or_none(kept=True)
        if self.low is not None:
            kept &= of - self.low * to >= -TOLERANCE
        if self.high is not None:
            kept &= of - self.high * to <= TOLERANCE
        return kept

    def uses(self) -> tuple[str, ...]:
        """None: a ratio speaks of amounts."""
        return ()

    def step(self, side: Side) -> float:
        """A tenth from 1 up, a hundredth below."""
        return 0.1 if self.standing(side) >= 1 else 0.01

    def reach(self) -> tuple[float, float]:
        """Any ratio from nothing up."""
        return 0.0, inf

    def place(self, side: Side) -> int | None:
        """None: the limit multiplies what it is set against."""
        return None


def _read(entry: Table, scene: Scene, common: Common) -> Ratio | None:
    if "to" not in entry:
        entry.lack("to", 'to = "what it is set against"')
    of, to = read_sums(entry, ("ratio_of", "to"), scene)
    low, high = limits_of(entry, Dimension.RATIO)
    if of is None or to is None:
        return None
    if of == to:
        entry.refuse(f"{shown(of.said)} to itself", "two different names", "to")
    if low:
        some_there(entry, "ratio_of", of, scene)
    if high is not None:
        some_there(entry, "to", to, scene)
    return Ratio(**common, unit=unit_of(entry), low=low, high=high, of=of, to=to)


WRITTEN = Written(
    key="ratio_of",
    keys=("to", "count", *LIMITS),
    read=_read,
    rules=(Ratio,),
    example='ratio_of = "wax"`, `to = "oil"',
    says="their ratio does; exact, and never a division by nothing; either may be a weighted sum,"
    ' `{ "class:anionic" = 1, "class:amphoteric" = 0.5 }`',
)
