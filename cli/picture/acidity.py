"""A predicted pH with its range, beside the band that is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor
from typing import TYPE_CHECKING

from .canvas import WIDTH, Cells, Ink, framed_sheet
from .rows import SMALL

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_HEIGHT = 104.0
_ASKED, _PREDICTED = 1.0, 0.0


@dataclass(frozen=True, slots=True)
class Reach:
    """A pH and how far it may lie from that.

    Args:
        name: of what: "predicted", or "before".
        ph: the likeliest.
        low: the least that its materials may bring.
        high: the most.
    """

    name: str
    ph: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class AcidityBand:
    """What pH to expect, and what is asked.

    Args:
        title: whose pH.
        said: what it shows, in a sentence.
        reaches: one prediction or more.
        low: lower end of the band asked for, ``None`` where it has none.
        high: upper end.
    """

    title: str
    said: str
    reaches: tuple[Reach, ...]
    low: float | None
    high: float | None

    def heads(self) -> Cells:
        """What, the least, the likeliest and the most."""
        return ("pH", "least", "likeliest", "most")

    def rows(self) -> tuple[Cells, ...]:
        """A line for each prediction and one for the band."""
        band = ("asked", _said(self.low), "", _said(self.high))
        lines = ((one.name, _said(one.low), _said(one.ph), _said(one.high)) for one in self.reaches)
        return (*lines, band)

    def draw(self) -> Figure:
        """The range as a line with a mark at the likeliest, over the band."""
        height = _HEIGHT + 26 * (len(self.reaches) - 1)
        figure, axes = framed_sheet(height, (8.0, 6.0, WIDTH - 8.0, height - 34.0))
        least, most = self._ends()
        axes.set_xlim(least, most)
        axes.set_ylim(-0.7, len(self.reaches) + 0.3)
        self._band(axes, least, most)
        for number, one in enumerate(reversed(self.reaches)):
            _reach(axes, one, number)
        _scale(axes, least, most)
        return figure

    def _ends(self) -> tuple[float, float]:
        ends = [end for one in self.reaches for end in (one.low, one.high)]
        ends += [end for end in (self.low, self.high) if end is not None]
        return floor(min(ends) - 0.25), ceil(max(ends) + 0.25)

    def _band(self, axes: Axes, least: float, most: float) -> None:
        low = least if self.low is None else self.low
        high = most if self.high is None else self.high
        axes.axvspan(low, high, color=Ink.BAND, linewidth=0)
        top = len(self.reaches) - 0.05
        axes.text((low + high) / 2, top, "asked", size=SMALL, color=Ink.SOFT, ha="center")


def _reach(axes: Axes, one: Reach, height: int) -> None:
    axes.plot([one.low, one.high], [height, height], color=Ink.MAIN, linewidth=3.0)
    axes.plot([one.ph], [height], marker="o", markersize=9.0, color=Ink.MAIN)
    said = f"{one.name} {_said(one.ph)}"
    axes.text(one.ph, height + 0.28, said, size=SMALL, color=Ink.TEXT, ha="center", va="bottom")
    for end, side in ((one.low, "right"), (one.high, "left")):
        if abs(end - one.ph) > 0.05:
            text = f" {_said(end)} "
            axes.text(end, height, text, size=SMALL, color=Ink.SOFT, ha=side, va="center")


def _scale(axes: Axes, least: float, most: float) -> None:
    axes.set_xticks(range(int(least), int(most) + 1))
    axes.set_yticks([])
    axes.set_xlabel("pH", size=SMALL, color=Ink.SOFT, labelpad=2)
    axes.tick_params(axis="x", colors=Ink.SOFT, labelsize=SMALL, width=0.8)
    for side, spine in axes.spines.items():
        spine.set_visible(side == "bottom")
        spine.set_color(Ink.SOFT)


def _said(ph: float | None) -> str:
    return "" if ph is None else f"{ph:.2f}".rstrip("0").rstrip(".")
