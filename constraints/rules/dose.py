"""A material is left out, or dosed between limits."""

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, ClassVar

from ..model.mix import TRACE
from ..model.row import row
from ..model.rule import Limited, Side
from ..model.verdict import Verdict, asks_nothing, within
from ..values.table import Table, worded
from ..values.units import Dimension
from .limits import share_step
from .scene import Scene
from .selecting import on_shelf
from .written import LIMITS, Common, Written, limits_of, unit_of

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.mix import Mix
    from ..model.row import Row

USED = 1000.0 * TRACE
"""What is used has at least this share, far above what is taken for none [kg/kg]."""


@dataclass(frozen=True, slots=True)
class Dose(Limited):
    """A material is left out or dosed between the limits [kg/kg of mix]; both limits are given."""

    material: str

    varies: ClassVar[bool] = False

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``low·u ≤ x ≤ high·u``, with u 1 where it is used: two rows.

        However low the dose, what counts as used is there.
        """
        share, used = frame.index[self.material], frame.choices[self.material]
        low = max(USED, self.low or 0.0)
        high = 1.0 if self.high is None else self.high
        return [
            row(self.id, "at least", {share: 1.0, used: -low}, 0.0, inf),
            row(self.id, "at most", {share: 1.0, used: -high}, -inf, 0.0),
        ]

    def judged(self, mix: "Mix") -> Verdict:
        """Its share where it is used."""
        share = mix.share_of(self.material)
        return asks_nothing(self) if share <= TRACE else within(self, share)

    def uses(self) -> tuple[str, ...]:
        """The material it doses."""
        return (self.material,)

    def step(self, side: Side) -> float:
        """That of a share."""
        return share_step(self.standing(side))

    def reach(self) -> tuple[float, float]:
        """From nothing to the whole bar."""
        return 0.0, 1.0

    def place(self, side: Side) -> int | None:
        """The row of that side: where the material is used, its limit is a plain figure."""
        return 0 if side == "low" else 1

    @property
    def dosed(self) -> str | None:
        """Its material."""
        return self.material


def _read(entry: Table, scene: Scene, common: Common) -> Dose | None:
    text = entry.text("dose_of", "the name of a material on the shelf")
    material = on_shelf(entry, "dose_of", text, scene) if text else None
    low, high = limits_of(entry, Dimension.SHARE, needed=LIMITS)
    if low == 0:
        expected = "more than 0 %; for an upper limit alone write share_of"
        entry.refuse(worded(entry.values["min"]), expected, "min")
    if material is None:
        return None
    return Dose(**common, unit=unit_of(entry), low=low, high=high, material=material)


WRITTEN = Written(
    key="dose_of",
    keys=LIMITS,
    read=_read,
    rules=(Dose,),
    example='dose_of = "NAME"',
    says="left out, or dosed within the limits",
)
