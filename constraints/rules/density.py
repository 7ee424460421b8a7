"""The density of the mix lies between limits, volumes adding up."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import fsum, inf
from typing import TYPE_CHECKING, ClassVar

from ..model.row import row
from ..model.rule import Limited, Side
from ..model.verdict import within
from .limits import tenth_of_its_size

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.mix import Mix
    from ..model.row import Row
    from ..model.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Density(Limited):
    """The density of the mix, pressed without voids, lies between the limits [kg/L].

    Volumes are taken to add up; ``values`` holds the density of every material on the shelf [kg/L].
    """

    values: Mapping[str, float]

    varies: ClassVar[bool] = False

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """At least ``low`` is Σ x/ρ ≤ 1/low, and the shares add to one: ``(1 − low/ρ)·x ≥ 0``."""
        rows = []
        if self.low is not None:
            rows.append(row(self.id, "at least", self._lighter(frame, self.low), 0.0, inf))
        if self.high is not None:
            rows.append(row(self.id, "at most", self._lighter(frame, self.high), -inf, 0.0))
        return rows

    def _lighter(self, frame: "Frame", limit: float) -> dict[int, float]:
        return {column: 1.0 - limit / self.values[name] for name, column in frame.index.items()}

    def judged(self, mix: "Mix") -> "Verdict":
        """The mass of the mix over the volume of its parts."""
        volume = fsum(share / self.values[material.name] for material, share in mix.shares)
        return within(self, 1.0 / volume)

    def uses(self) -> tuple[str, ...]:
        """None: a density speaks of amounts."""
        return ()

    def step(self, side: Side) -> float:
        """A tenth of the power of ten below the limit."""
        return tenth_of_its_size(self.standing(side))

    def reach(self) -> tuple[float, float]:
        """Any density."""
        return 0.0, inf

    def place(self, side: Side) -> int | None:
        """None: the limit multiplies volumes."""
        return None
