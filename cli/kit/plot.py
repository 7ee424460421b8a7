"""A plot for the terminal, in plain characters that any screen, file and printer can show."""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

Point = tuple[float, float]

_LEAST_WIDTH, _LEAST_HEIGHT = 24, 8
_AROUND = 4  # lines that are not canvas: the y label, the x axis, its figures, its label
_X_GAP, _Y_GAP = 12, 3  # cells between ticks, about
_SAME = 1e-9  # values that differ by less, relative to themselves, lie on one line
_ROUND = (1.0, 2.0, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Series:
    """What is drawn with one character; a later series is drawn over an earlier one.

    Args:
        mark: the character.
        points: x and y, finite; joined ones in rising x.
        joined: whether they are joined to a line.
    """

    mark: str
    points: Sequence[Point]
    joined: bool = True


@dataclass(frozen=True, slots=True)
class _Axis:
    """Round ticks, the figures beside them, and the cells that they are spread over."""

    ticks: tuple[float, ...]
    names: tuple[str, ...]
    cells: int

    def cell(self, value: float) -> int:
        low, high = self.ticks[0], self.ticks[-1]
        return round((value - low) / (high - low) * (self.cells - 1))

    def named(self) -> Mapping[int, str]:
        return {self.cell(tick): name for tick, name in zip(self.ticks, self.names, strict=True)}


def plot(
    series: Sequence[Series], width: int, height: int, x_label: str, y_label: str
) -> list[str]:
    r"""Draw series over two axes with round ticks.

    Args:
        series: at least one point in all.
        width: of the longest line [characters], at least 24.
        height: lines in all, at least 8.
        x_label: set below the right end of the x axis.
        y_label: set above the y axis.

    Returns:
        The lines, without spaces at their ends.

    Raises:
        ValueError: when there is nothing to draw or no room to draw it.

    >>> print("\n".join(plot([Series("*", [(0, 0), (20, 2)])], 24, 9, "g", "pH")))
    pH
    2 +                  ***
      |             *****
      |        *****
      |   *****
    0 +***
      +--------------------+
       0                  20
                           g
    """
    points = [point for one in series for point in one.points]
    if not points or not all(isfinite(value) for point in points for value in point):
        raise ValueError("a plot needs points, all of them finite")
    if width < _LEAST_WIDTH or height < _LEAST_HEIGHT:
        raise ValueError(f"a plot needs {_LEAST_WIDTH} characters by {_LEAST_HEIGHT} lines")
    up = _axis([y for _, y in points], height - _AROUND, _Y_GAP)
    margin = max(map(len, up.names)) + 1
    across = _axis([x for x, _ in points], width - margin - 1, _X_GAP)
    body = _body(_drawn(series, across, up), up, margin)
    return [y_label, *body, *_below(across, margin), x_label.rjust(width)]


def _axis(values: Sequence[float], cells: int, gap: int) -> _Axis:
    """Ticks at round values, the outer ones around all values."""
    least, most = min(values), max(values)
    if most - least <= _SAME * max(abs(least), abs(most)):
        least, most = least - abs(least or 1.0) / 2, most + abs(most or 1.0) / 2
    step = _step((most - least) / max(1, cells // gap))
    first, last = floor(least / step + 1e-9), ceil(most / step - 1e-9)
    places = max(0, -floor(log10(step) + 1e-9))
    ticks = tuple(number * step for number in range(first, max(last, first + 1) + 1))
    return _Axis(ticks, tuple(f"{tick:.{places}f}" for tick in ticks), cells)


def _step(least: float) -> float:
    """The smallest round step that is not below ``least``."""
    power = 10.0 ** floor(log10(least))
    return next(part * power for part in _ROUND if part * power >= least * (1 - 1e-9))


def _drawn(series: Sequence[Series], across: _Axis, up: _Axis) -> list[list[str]]:
    """The canvas, lowest row first."""
    canvas = [[" "] * across.cells for _ in range(up.cells)]
    for one in series:
        cells = [(across.cell(x), up.cell(y)) for x, y in one.points]
        if one.joined:
            for start, end in itertools.pairwise(cells):
                _stroke(canvas, start, end, one.mark)
        for column, row in cells:
            canvas[row][column] = one.mark
    return canvas


def _stroke(
    canvas: list[list[str]], start: tuple[int, int], end: tuple[int, int], mark: str
) -> None:
    """Every cell on the way, one for each column or row, whichever are more."""
    wide, tall = end[0] - start[0], end[1] - start[1]
    steps = max(abs(wide), abs(tall), 1)
    for step in range(steps + 1):
        column = floor(start[0] + wide * step / steps + 0.5)
        row = floor(start[1] + tall * step / steps + 0.5)
        canvas[row][column] = mark


def _body(canvas: Sequence[Sequence[str]], up: _Axis, margin: int) -> list[str]:
    names = up.named()
    return [
        f"{names.get(row, '').rjust(margin - 1)} {'+' if row in names else '|'}"
        f"{''.join(canvas[row])}".rstrip()
        for row in reversed(range(up.cells))
    ]


def _below(across: _Axis, margin: int) -> list[str]:
    """The x axis, and its figures with their last digit under their tick."""
    names = across.named()
    line = "".join("+" if column in names else "-" for column in range(1, across.cells))
    figures = " " * (margin + 1)
    for column, name in sorted(names.items()):
        end = margin + 2 + column
        if end - len(name) >= len(figures.rstrip()) + 1 or not figures.strip():
            figures = figures.rstrip().ljust(max(end - len(name), 0)) + name
    return [" " * margin + "+-" + line, figures]
