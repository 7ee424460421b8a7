"""What stands on a batch sheet, and what kept one from being made."""

from dataclasses import dataclass
from enum import StrEnum

from ...constraints.market.caution import Caution
from ...constraints.model.material import Phase
from ...constraints.model.verdict import Verdict
from ...constraints.values.told import Told
from ...solver.program.outcome import Stopped
from ..heat.warmth import Warmth
from ..price.pricing import Costing
from ..weighing.weight import Unweighable, Weighed, Weight
from .exactness import Slip, departures


class Why(StrEnum):
    """Why a batch cannot be made."""

    NO_BARS = "no bars"
    NO_FILL = "no fill weight"
    NOTHING_LEFT = "nothing left after losses"
    NO_BALANCE = "no balance"
    PORTION_NOT_WEIGHED = "no balance weighs a portion"
    NOT_WHOLE = "shares do not add to one"
    NOT_ON_SHELF = "not on the shelf"
    NOT_AVAILABLE = "cannot be had"
    RULES_BROKEN = "the composition breaks rules"
    NO_WEIGHTS = "no weights keep the rules"
    STOPPED = "the search for weights was given up"


@dataclass(frozen=True, slots=True)
class Hindrance:
    """One thing in the way of a batch.

    Args:
        why: what is in the way.
        names: materials or rules it is about.
        value: the figure found, where it is about one: bars, kg, or a share [kg/kg].
    """

    why: Why
    names: tuple[str, ...] = ()
    value: float | None = None


@dataclass(frozen=True, slots=True, repr=False)
class Refused(Told):
    """A batch that cannot be made.

    Args:
        reasons: everything in the way, at least one.
        weighing: what the search for weights found, where it came so far.
        bigger: the smallest number of bars tried that can be weighed; ``None`` where none could
            or it did not come so far.
    """

    reasons: tuple[Hindrance, ...]
    weighing: Unweighable | Stopped | None = None
    bigger: int | None = None


@dataclass(frozen=True, slots=True)
class Addition:
    """One material going into the vessel.

    Args:
        phase: when; cool-down for what would be spoilt in the hot water.
        weight: how much, on which balance.
        apart: weighed in a cup of its own and tipped in, since the vessel's balance is too coarse.
        running: what is in the vessel afterwards [kg].
        reading: what the vessel's balance then shows, tared once with the empty vessel on it [kg];
            ``None`` where no balance holds the vessel and the batch.
        add_below: hottest the mix may be when it goes in [°C], or ``None``.
        cautions: codes of the cautions that are for this material.
        into: the material into which it is stirred before both go in, by the maker's word.
    """

    phase: Phase
    weight: Weight
    apart: bool
    running: float
    reading: float | None
    add_below: float | None
    cautions: tuple[str, ...]
    into: str | None = None


@dataclass(frozen=True, slots=True)
class Portions:
    """The mix shared out.

    Args:
        fill: mass of a portion, in whole steps [kg].
        asked: mass asked for [kg]; ``fill`` is that, rounded up to a step.
        balance: the balance it is weighed on.
        readings: what the balance shows after each bar, not tared between them; it starts over
            from nothing where the next bar would pass its capacity [kg].
        left: mix left over for bowl, mould and trimmings [kg].
        dried: mass of a bar when it is sold [kg].
    """

    fill: float
    asked: float
    balance: str
    readings: tuple[float, ...]
    left: float
    dried: float


@dataclass(frozen=True, slots=True, repr=False)
class Batch(Told):
    """A batch ready to be made.

    Args:
        name: of the composition.
        bars: how many.
        weighed: the weigh-out, every rule kept.
        verdicts: every rule, judged on what is really weighed.
        vessel_balance: the balance that carries the vessel, ``None`` where none holds it.
        additions: in working order.
        warmth: ``None`` where nothing is heated, or nothing is known of what melts.
        portions: the mix shared out.
        sold: mass sold of the mass weighed [kg/kg].
        short: (material, mass missing [kg]) where the counted stock does not do.
        not_counted: materials whose stock was not counted.
        costing: what it costs.
        cautions: what applies, in working order, with the materials it is for.
        slips: where half a scale step of one material breaks a rule.
        alone: (material, what it should go in with) where that is not in the batch.
    """

    name: str
    bars: int
    weighed: Weighed
    verdicts: tuple[Verdict, ...]
    vessel_balance: str | None
    additions: tuple[Addition, ...]
    warmth: Warmth | None
    portions: Portions
    sold: float
    short: tuple[tuple[str, float], ...]
    not_counted: tuple[str, ...]
    costing: Costing
    cautions: tuple[tuple[Caution, tuple[str, ...]], ...]
    slips: tuple[Slip, ...] = ()
    alone: tuple[tuple[str, str], ...] = ()

    @property
    def departures(self) -> tuple[tuple[str, float], ...]:
        """Materials and how far they are weighed off the formula [kg/kg], greatest first."""
        return departures(self.weighed)

    @property
    def more(self) -> float:
        """Mix weighed beyond what was asked, so that whole steps keep every rule [kg]."""
        return max(0.0, self.weighed.batch - self.weighed.asked)

    @property
    def broken(self) -> tuple[str, ...]:
        """Rules that what is weighed breaks when judged anew; empty but for a pH at its limit."""
        return tuple(verdict.rule.id for verdict in self.verdicts if not verdict.kept)
