"""Distributions: how far a figure lies apart over many scenarios."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .canvas import Cells, Ink
from .rows import BAR, SMALL, Slot, named, row_place, rows_sheet, strip

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_FOOT = 20.0


@dataclass(frozen=True, slots=True)
class Quantiles:
    """One figure over many scenarios.

    Args:
        name: of the figure.
        quantiles: the lowest, one in twenty below, the middle, one in twenty above, the highest.
        said: the same as they are written.
    """

    name: str
    quantiles: tuple[float, float, float, float, float]
    said: tuple[str, str, str, str, str]


@dataclass(frozen=True, slots=True)
class Distributions:
    """Figures over many scenarios, to one scale.

    Args:
        title: what they are.
        said: what they show, in a sentence.
        unit: what they are counted in.
        spreads: in the order in which they are drawn.
    """

    title: str
    said: str
    unit: str
    spreads: tuple[Quantiles, ...]

    def heads(self) -> Cells:
        """What, and its five figures."""
        return (
            self.unit,
            "lowest",
            "one in twenty below",
            "middle",
            "one in twenty above",
            "highest",
        )

    def rows(self) -> tuple[Cells, ...]:
        """A line for each figure."""
        return tuple((one.name, *one.said) for one in self.spreads)

    def draw(self) -> Figure:
        """A thin line from the lowest to the highest, a bar for nine in ten, a stroke midway."""
        figure, axes = rows_sheet(len(self.spreads), _FOOT)
        ends = [end for one in self.spreads for end in one.quantiles]
        least, most = min(ends), max(ends)
        span = (most - least) or max(abs(most), 1.0)
        for number, one in enumerate(self.spreads):
            named(axes, number, one.name, f"{one.said[2]} {self.unit}")
            parts = [(end - least) / span for end in one.quantiles]
            _spread(axes, row_place(number), parts)
        last = row_place(len(self.spreads) - 1)
        key = "stroke: the middle · bar: nine in ten · line: all of them"
        base = last.top + BAR + 14
        axes.text(last.left, base, key, size=SMALL, color=Ink.SOFT, va="baseline")
        return figure


def _spread(axes: Axes, place: Slot, parts: list[float]) -> None:
    axes.plot([place.at(0), place.at(1)], [place.middle] * 2, color=Ink.GRID, linewidth=0.8)
    lowest, low, middle, high, highest = (place.at(part) for part in parts)
    axes.plot([lowest, highest], [place.middle] * 2, color=Ink.BEFORE, linewidth=1.4)
    if high - low > 1.0:
        strip(axes, place, parts[1], parts[3], Ink.MAIN)
    axes.plot(
        [middle] * 2, [place.top - 2, place.top + BAR + 2], color=Ink.TEXT, linewidth=2.2, zorder=5
    )
