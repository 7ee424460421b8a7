"""The materials in a kilogram of mix cost no more than a cap."""

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, ClassVar

from ..model.row import between
from ..model.rule import Limited, Side
from ..model.verdict import within
from ..values.table import Table
from ..values.units import Dimension, split
from .limits import kept_between
from .scene import Scene
from .written import Common, Written

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.lots import Flags, Floats, Lots
    from ..model.mix import Mix
    from ..model.row import Row
    from ..model.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Cost(Limited):
    """The materials in a kilogram of mix cost at most the upper limit [money/kg]."""

    priced: ClassVar[bool] = True

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``Σ c·x ≤ high``."""
        return [between(self.id, "cost", dict(enumerate(frame.prices)), (self.low, self.high))]

    def judged(self, mix: "Mix") -> "Verdict":
        """What the mix costs."""
        return within(self, mix.cost)

    def value_in(self, lots: "Lots") -> "Floats":
        """What the mix costs."""
        return lots.cost

    def kept_in(self, lots: "Lots") -> "Flags":
        """Between its limits."""
        return kept_between(self, self.value_in(lots))

    def uses(self) -> tuple[str, ...]:
        """None: a cost speaks of amounts."""
        return ()

    def step(self, side: Side) -> float:
        """A tenth of a money unit."""
        return 0.1

    def reach(self) -> tuple[float, float]:
        """Any cost."""
        return 0.0, inf

    def yields_to(self, side: Side) -> float:
        """Any cost: what a bar costs is the maker's own business, and is told."""
        return self.reach()[1 if side == "high" else 0]

    def place(self, side: Side) -> int | None:
        """The one row."""
        return 0


def _read(entry: Table, scene: Scene, common: Common) -> Cost | None:
    high = entry.quantity("cost_max", Dimension.PRICE, rates=scene.rates)
    if high is None:
        return None
    unit = split(str(entry.values["cost_max"]))[1]
    if unit[:3] != scene.currency:  # shown in the currency in which it is compared
        unit = f"{scene.currency}/kg"
    return Cost(**common, unit=unit, low=None, high=high)


WRITTEN = Written(
    key="cost_max",
    keys=(),
    read=_read,
    rules=(Cost,),
    example='cost_max = "9.50 EUR/kg"',
    says="the materials in a kilogram of mix cost no more",
)
