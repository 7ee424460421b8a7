"""Rules as gauges: where each stands between its limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .canvas import Cells, Ink
from .rows import BAR, SMALL, Slot, named, row_place, rows_sheet, strip

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_MARGIN = 0.18  # of the span between two limits, shown beyond each
_BEYOND = 1.25  # times the larger of limit and value, where only one side is limited
_SAME = 1e-12


@dataclass(frozen=True, slots=True)
class Gauge:
    """One rule.

    Args:
        name: of the rule.
        value: where it stands.
        low: its lower limit, ``None`` where there is none.
        high: its upper limit, likewise.
        kept: whether it counts as kept.
        said: limits, value and room left as they are written.
    """

    name: str
    value: float
    low: float | None
    high: float | None
    kept: bool
    said: tuple[str, str, str]

    def ends(self) -> tuple[float, float]:
        """What the gauge reaches from and to: both limits and the value are within."""
        low, high = self.low, self.high
        if low is not None and high is not None and high - low > _SAME:
            margin = (high - low) * _MARGIN
            return min(low - margin, self.value), max(high + margin, self.value)
        known = [0.0, *(end for end in (low, high, self.value) if end is not None)]
        least, most = min(known) * _BEYOND, max(known) * _BEYOND
        return (least, most) if most - least > _SAME else (0.0, 1.0)

    def place(self, value: float) -> float:
        """Where a value lies on it, from nought to one."""
        least, most = self.ends()
        return (value - least) / (most - least)


@dataclass(frozen=True, slots=True)
class Gauges:
    """Rules, each on a scale of its own.

    Args:
        title: whose rules.
        said: what they show, in a sentence.
        gauges: in the order in which they are drawn.
    """

    title: str
    said: str
    gauges: tuple[Gauge, ...]

    def heads(self) -> Cells:
        """Rule, limits, value and room."""
        return ("rule", "limits", "value", "room left")

    def rows(self) -> tuple[Cells, ...]:
        """A line for each rule."""
        return tuple((one.name, *one.said) for one in self.gauges)

    def draw(self) -> Figure:
        """What is allowed as a band, limits as strokes, where it stands as a mark."""
        figure, axes = rows_sheet(len(self.gauges))
        for number, one in enumerate(self.gauges):
            ink = Ink.TEXT if one.kept else Ink.WARN
            limits, value, _ = one.said
            named(axes, number, one.name, f"{value} · {limits}", ink)
            _gauge(axes, row_place(number), one)
        return figure


def _gauge(axes: Axes, place: Slot, one: Gauge) -> None:
    low = 0.0 if one.low is None else one.place(one.low)
    high = 1.0 if one.high is None else one.place(one.high)
    strip(axes, place, 0.0, 1.0, Ink.GRID)
    strip(axes, place, low, high, Ink.BAND)
    for limit in (one.low, one.high):
        if limit is not None:
            x = place.at(one.place(limit))
            axes.plot([x, x], [place.top - 1, place.top + BAR + 1], color=Ink.SOFT, linewidth=1.2)
    ink = Ink.MAIN if one.kept else Ink.WARN
    x = place.at(one.place(one.value))
    mark = "o" if one.kept else "X"
    axes.plot([x], [place.middle], marker=mark, markersize=SMALL, color=ink, clip_on=False)
