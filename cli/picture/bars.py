"""Amounts as bars, most first: shares of a mix, or what each material costs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .canvas import Cells, Ink
from .rows import named, row_place, rows_sheet, strip

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True, slots=True)
class Amount:
    """One amount.

    Args:
        name: of what.
        value: not below nought; bars of a picture are to one scale.
        said: the value as it is written.
    """

    name: str
    value: float
    said: str


@dataclass(frozen=True, slots=True)
class Bars:
    """Amounts to one scale.

    Args:
        title: what they are.
        said: what they show, in a sentence.
        what: heads of the name and of the value.
        bars: in the order in which they are drawn.
    """

    title: str
    said: str
    what: tuple[str, str]
    bars: tuple[Amount, ...]

    def heads(self) -> Cells:
        """Name and value."""
        return self.what

    def rows(self) -> tuple[Cells, ...]:
        """A line for each bar."""
        return tuple((bar.name, bar.said) for bar in self.bars)

    def draw(self) -> Figure:
        """Bars below their names."""
        figure, axes = rows_sheet(len(self.bars))
        most = max((bar.value for bar in self.bars), default=0.0) or 1.0
        for number, bar in enumerate(self.bars):
            named(axes, number, bar.name, bar.said)
            place = row_place(number)
            strip(axes, place, 0.0, 1.0, Ink.GRID)
            strip(axes, place, 0.0, bar.value / most, Ink.MAIN)
        return figure
