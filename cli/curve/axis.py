"""The quantity that a curve runs along."""

from dataclasses import dataclass
from math import floor, log10
from typing import TYPE_CHECKING

from ...constraints.values.units import scale_of
from ..kit.numbers import in_unit

if TYPE_CHECKING:
    from ...solver.answers.curve import Curve


@dataclass(frozen=True, slots=True)
class Axis:
    """What moves, from where to where.

    Args:
        label: "lower limit of protein".
        unit: in which it is shown.
        kind: "limit" or "price".
        about: the rule or the material.
        side: which limit, or ``None`` for a price.
        interval: the ends, in the canonical unit.
    """

    label: str
    unit: str
    kind: str
    about: str
    side: str | None
    interval: tuple[float, float]

    @classmethod
    def of(cls, curve: "Curve") -> "Axis":
        """The quantity that a curve of the library runs along."""
        word = {"low": "lower limit of", "high": "upper limit of", None: "price of"}[curve.side]
        kind = "price" if curve.side is None else "limit"
        label = f"{word} {curve.about}"
        return cls(label, curve.unit, kind, curve.about, curve.side, curve.interval)

    @property
    def step(self) -> float:
        """A round step, about a tenth of the interval, in the canonical unit."""
        width = (self.interval[1] - self.interval[0]) * scale_of(self.unit)
        return float(10.0 ** floor(log10(width) - 0.3)) / scale_of(self.unit)

    def said(self, at: float) -> str:
        """A place on it, with no more digits than the step makes sense of."""
        scale = scale_of(self.unit)
        digits = max(0, 3 - floor(log10(self.step * scale) + 1e-9))
        return in_unit(round(at * scale, digits) / scale + 0.0, self.unit)
