"""What an exact solve ends on, and what a stretch of moving limits is."""

from dataclasses import dataclass
from enum import StrEnum

from .exact import Stand
from .scaled import Values


class Kind(StrEnum):
    """How a run of pivots ended."""

    OPTIMAL = "optimal"
    EMPTY = "no point"
    CEILING = "ceiling reached"
    UNBOUNDED = "unbounded"
    LATE = "time ran out"


@dataclass(frozen=True, slots=True)
class End:
    """Where a run of pivots ended.

    Args:
        kind: how.
        stand: the basis it ended on; dual feasible unless the run was a primal one.
        pivots: how many it took.
        stuck: for EMPTY, the basic variable that cannot reach its end and whether it must rise.
        moved: for an OPTIMAL run with a drift, where every variable is, and how it moves.
    """

    kind: Kind
    stand: Stand
    pivots: int
    stuck: tuple[int, bool] | None = None
    moved: tuple[Values, Values] | None = None


@dataclass(frozen=True, slots=True)
class Drift:
    """A variable whose ends move: rates of its low and its high end, in box units."""

    variable: int
    low: int
    high: int
