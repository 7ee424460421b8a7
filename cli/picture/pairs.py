"""Before and after, side by side: a bar for each, with the difference beside the name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .canvas import Cells, Ink
from .rows import BAR, EDGE, ROW, SMALL, TOP, named, row_place, rows_sheet

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_FOOT = 18.0
_THIN = BAR / 2 - 0.5


@dataclass(frozen=True, slots=True)
class Pair:
    """One amount before and after.

    Args:
        name: of what.
        before: not below nought.
        after: to the same scale.
        said: both and the difference as they are written.
    """

    name: str
    before: float
    after: float
    said: tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class Pairs:
    """Amounts before and after, to one scale.

    Args:
        title: what they are.
        said: what they show, in a sentence.
        what: head of the names.
        pairs: in the order in which they are drawn.
    """

    title: str
    said: str
    what: str
    pairs: tuple[Pair, ...]

    def heads(self) -> Cells:
        """Name, before, after and the difference."""
        return (self.what, "before", "after", "change")

    def rows(self) -> tuple[Cells, ...]:
        """A line for each pair."""
        return tuple((pair.name, *pair.said) for pair in self.pairs)

    def draw(self) -> Figure:
        """A thin bar for before above one for after, and what is which below them all."""
        figure, axes = rows_sheet(len(self.pairs), _FOOT)
        most = max((max(one.before, one.after) for one in self.pairs), default=0.0) or 1.0
        for number, pair in enumerate(self.pairs):
            named(axes, number, pair.name, pair.said[2] or pair.said[1])
            place = row_place(number)
            _bar(axes, place.top, place.left, place.at(pair.before / most), Ink.BEFORE)
            _bar(axes, place.top + BAR / 2 + 0.5, place.left, place.at(pair.after / most), Ink.MAIN)
        self._key(axes)
        return figure

    def _key(self, axes: Axes) -> None:
        base = TOP + len(self.pairs) * ROW + 8
        for left, word, ink in ((EDGE, "before", Ink.BEFORE), (80.0, "after", Ink.MAIN)):
            _bar(axes, base - _THIN, left, left + 14, ink)
            axes.text(left + 19, base, word, size=SMALL, color=Ink.SOFT, va="center")


def _bar(axes: Axes, top: float, left: float, right: float, ink: Ink) -> None:
    from matplotlib.patches import Rectangle

    axes.add_patch(Rectangle((left, top), right - left, _THIN, facecolor=ink, linewidth=0))
