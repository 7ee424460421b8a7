"""An answer in one screen: what matters first, and where the rest is."""

import textwrap
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...constraints.values.names import shortened

if TYPE_CHECKING:
    from rich.console import Console

LINES = 24
"""Lines of the smallest terminal that is in use."""

UNBOUNDED = 10_000
"""A width at which nothing is folded and no name is shortened: that of a page [characters]."""

LEAST_WIDTH = 40
"""Narrower than this no line is folded [characters]."""

GAP = "  "
BOUND = "\u00a0"  # a space at which no line is folded


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the screen.

    Args:
        title: opens it; empty for none.
        lines: sentences, which are folded, or rows, which are not.
        rows: whether the lines are rows.
        least: so many lines of it stay when room is short.
        cells: the same rows cell by cell, where they are set in columns.
        right: the columns that stand to the right.
        headed: whether the first row heads the others.
    """

    title: str
    lines: tuple[str, ...]
    rows: bool = False
    least: int = 1
    cells: tuple[tuple[str, ...], ...] = ()
    right: frozenset[int] = frozenset()
    headed: bool = False


def sentences(title: str, said: Iterable[str], least: int = 1) -> Part:
    """A part of whole sentences."""
    return Part(title, tuple(one for one in said if one), False, least)


def rows(title: str, said: Iterable[str], least: int = 1) -> Part:
    """A part of rows that stand as they are."""
    return Part(title, tuple(said), True, least)


def columns(
    title: str,
    cells: Sequence[Sequence[str]],
    right: Iterable[int] = (),
    least: int = 1,
    *,
    headed: bool = False,
) -> Part:
    """A part of rows in columns, those of ``right`` set to the right; empty without rows."""
    places, made = frozenset(right), tuple(tuple(row) for row in cells)
    lines = tuple(aligned(cells, places)) if cells else ()
    return Part(title, lines, True, least, made, places, headed)


def show_parts(console: "Console", parts: Sequence[Part], rest: str) -> None:
    """Show parts in as many lines as a small terminal has, the last saying where the rest is.

    Where there is more than fits, the longest part gives way first, line by line, and says by how
    much; a sentence is left out whole or not at all.
    """
    from .listening import listening

    page = listening(console)
    if page is not None:  # which has room for it all, and for what there is to say besides
        page.hear(parts)
        return
    width = max(console.width, LEAST_WIDTH)
    ending = _folded(rest, width)
    kept = [len(part.lines) for part in parts]
    while _height(parts, kept, width) + len(ending) > LINES:
        free = [
            (len(_part_lines(part, count, width)), index)
            for index, (part, count) in enumerate(zip(parts, kept, strict=True))
            if count > part.least
        ]
        if not free:
            break
        kept[max(free)[1]] -= 1
    for part, count in zip(parts, kept, strict=True):
        for line in _part_lines(part, count, width):
            console.print(line, soft_wrap=True)
    for line in ending:
        console.print(line, soft_wrap=True)


def _height(parts: Sequence[Part], kept: Sequence[int], width: int) -> int:
    return sum(
        len(_part_lines(part, count, width)) for part, count in zip(parts, kept, strict=True)
    )


def _part_lines(part: Part, count: int, width: int) -> list[str]:
    if not part.lines:
        return []
    left = len(part.lines) - count
    indent = GAP if part.title else ""
    said = [part.title] if part.title else []
    for line in part.lines[:count]:
        said += [f"{indent}{line}"] if part.rows else _folded(line, width, indent)
    return [*said, f"{indent}… and {left} more"] if left else said


def _folded(text: str, width: int, indent: str = "") -> list[str]:
    folded = textwrap.wrap(
        text.replace(" %", f"{BOUND}%"),
        width=width,
        initial_indent=indent,
        subsequent_indent=indent + (GAP if indent else ""),
        break_on_hyphens=False,
    )
    return [line.replace(BOUND, " ") for line in folded]


def half_of(width: int) -> int:
    """Characters of one of two columns within a part."""
    return (width - 2 * len(GAP)) // 2


def in_columns(entries: Sequence[str], width: int) -> list[str]:
    """Entries beside each other, read down one column and then the next, if two have room.

    At a width at which nothing is folded they stand alone: a page sets columns of its own.
    """
    half = half_of(width)
    if len(entries) < 2 or max(map(len, entries)) > half or width >= UNBOUNDED:
        return list(entries)
    tall = (len(entries) + 1) // 2
    pairs = zip(entries[:tall], [*entries[tall:], ""], strict=False)
    return [f"{left:<{half}}{GAP}{right}".rstrip() for left, right in pairs]


def shortened_all(names: Sequence[str], most: int) -> dict[str, str]:
    """Names that fit and still differ from each other; those that would not stay whole."""
    said = {name: shortened(name, most) for name in names}
    twice = {one for one in said.values() if list(said.values()).count(one) > 1}
    return {name: name if short in twice else short for name, short in said.items()}


def aligned(cells: Sequence[Sequence[str]], right: Iterable[int] = ()) -> list[str]:
    """Cells in columns, those of ``right`` set to the right.

    >>> aligned([("a", "1"), ("bc", "22")], right=(1,))
    ['a    1', 'bc  22']
    """
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    rights = set(right)
    return [
        GAP.join(
            f"{cell:>{width}}" if index in rights else f"{cell:<{width}}"
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in cells
    ]


def counted(number: int, one: str, many: str = "") -> str:
    """A number with its noun in the right form.

    >>> counted(1, "rule"), counted(2, "batch", "batches")
    ('1 rule', '2 batches')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"
