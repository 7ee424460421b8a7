"""A quantity along another: what a limit costs, what acid does, what safety costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .canvas import WIDTH, Cells, Ink, framed_sheet
from .rows import SMALL

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_HEIGHT = 250.0
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Mark:
    """A point that is spoken of.

    Args:
        word: what it is: "today".
        at: where.
    """

    word: str
    at: Point


@dataclass(frozen=True, slots=True)
class Graph:
    """One quantity along another.

    Args:
        title: what it is.
        said: what it shows, in a sentence.
        across: what runs along, with its unit.
        up: what it does to this, with its unit.
        points: in rising order, joined by straight lines.
        marks: points that are spoken of.
        told: both as they are written, a line for each point that is worth one.
        dots: whether each point is a corner to be shown.
    """

    title: str
    said: str
    across: str
    up: str
    points: tuple[Point, ...]
    marks: tuple[Mark, ...]
    told: tuple[tuple[str, str], ...]
    dots: bool = True

    def heads(self) -> Cells:
        """What runs along, and what it does."""
        return (self.across, self.up)

    def rows(self) -> tuple[Cells, ...]:
        """A line for each point."""
        return self.told

    def draw(self) -> Figure:
        """A line over two axes with a quiet grid."""
        figure, axes = framed_sheet(_HEIGHT, (52.0, 30.0, WIDTH - 14.0, _HEIGHT - 44.0))
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        mark = "o" if self.dots else ""
        axes.plot(xs, ys, color=Ink.MAIN, linewidth=2.0, marker=mark, markersize=3.5)
        axes.margins(0.04, 0.12)
        for one in self.marks:
            _marked(axes, one)
        _frame(axes, self.across, self.up)
        return figure


def _marked(axes: Axes, mark: Mark) -> None:
    x, y = mark.at
    axes.plot(
        [x],
        [y],
        marker="o",
        linestyle="none",
        color=Ink.TEXT,
        markersize=10.0,
        markerfacecolor="none",
        markeredgecolor=Ink.TEXT,
        markeredgewidth=1.6,
    )
    low, high = axes.get_xlim()
    side, shift = ("right", -9) if x > (low + high) / 2 else ("left", 9)
    axes.annotate(
        mark.word,
        (x, y),
        xytext=(shift, 7),
        textcoords="offset points",
        ha=side,
        size=SMALL,
        color=Ink.TEXT,
    )


def _frame(axes: Axes, across: str, up: str) -> None:
    axes.grid(visible=True, color=Ink.GRID, linewidth=0.7)
    axes.set_axisbelow(True)
    axes.tick_params(colors=Ink.SOFT, labelsize=SMALL, width=0.8)
    axes.ticklabel_format(useOffset=False)
    axes.locator_params(nbins=6)
    for side, spine in axes.spines.items():
        spine.set_visible(side in {"left", "bottom"})
        spine.set_color(Ink.SOFT)
    axes.set_xlabel(across, size=SMALL, color=Ink.SOFT)
    axes.set_title(up, size=SMALL, color=Ink.SOFT, loc="left", x=-0.13)
