"""Rows with a name above and a drawing below: how a list is drawn that a telephone can show."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...constraints.values.names import shortened
from .canvas import WIDTH, Ink, plain_sheet

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ROW = 34.0
"""Height of a row [points]."""

TOP, EDGE = 4.0, 3.0
SIZE, SMALL = 10.5, 9.0
_LETTER = 0.58  # of the size of a letter is its width, about
_NAME_AT, _BAR_AT = 12.0, 18.0
BAR = 8.0
"""Thickness of a bar [points]."""


@dataclass(frozen=True, slots=True)
class Slot:
    """Where a row is drawn: its left and right end, and the top of its drawing [points]."""

    left: float
    right: float
    top: float

    def at(self, part: float) -> float:
        """A part of the way from left to right, never past an end."""
        return self.left + (self.right - self.left) * min(1.0, max(0.0, part))

    @property
    def middle(self) -> float:
        """The height at which a bar is centred."""
        return self.top + BAR / 2


def rows_sheet(count: int, foot: float = 0.0) -> tuple[Figure, Axes]:
    """A sheet with room for so many rows, and some below them [points]."""
    return plain_sheet(TOP + max(count, 1) * ROW + foot)


def row_place(number: int) -> Slot:
    """The place of a row, counted from nought."""
    return Slot(EDGE, WIDTH - EDGE, TOP + number * ROW + _BAR_AT)


def named(axes: Axes, number: int, name: str, value: str, ink: Ink = Ink.TEXT) -> None:
    """The name of a row on the left and its figure on the right, above its drawing."""
    base = TOP + number * ROW + _NAME_AT
    place = row_place(number)
    left = WIDTH - 2 * EDGE - _width(value, SIZE) - 8
    axes.text(place.left, base, cut(name, left, SIZE), size=SIZE, color=Ink.TEXT, va="baseline")
    axes.text(place.right, base, value, size=SIZE, color=ink, ha="right", va="baseline")


def strip(axes: Axes, place: Slot, start: float, end: float, ink: Ink) -> None:
    """A bar from one part of the way to another."""
    from matplotlib.patches import Rectangle

    left, right = place.at(start), place.at(end)
    axes.add_patch(Rectangle((left, place.top), right - left, BAR, facecolor=ink, linewidth=0))


def cut(text: str, width: float, size: float) -> str:
    """A text that is no wider [points]."""
    return shortened(text, max(int(width / (size * _LETTER)), 8))


def _width(text: str, size: float) -> float:
    return len(text) * size * _LETTER
