"""The largest type in which a sheet still fits one page, reckoned from its text."""

from collections.abc import Iterator
from html.parser import HTMLParser
from math import ceil

SIZES = tuple(size / 5 for size in range(55, 33, -1))
"""Sizes that are tried, largest first [pt]."""

TWO_SIDES = 9.0
"""What a sheet that fits in none of them is printed in, on both sides [pt]."""

_PT = 25.4 / 72  # [mm]
_PAGE, _WIDE = 279.0, 189.0  # what is printed on, margins off [mm]; figures below measured on it
_LINE = 1.22  # height of a line, of the size of type
_LETTER = 0.485  # mean width of a letter of English in this type, of its size
_NAME = 0.31  # part of the width that the first column of a table has
_AFTER = {"p": 0.2, "li": 0.0, "h1": 1.0, "h2": 2.0, "row": 0.9, "table": 1.0, "blanks": 3.2}
"""Room between a block and the next [mm]."""
_BIGGER = {"h1": 1.55, "h2": 1.1}


def type_size(title: str, body: str) -> float:
    """The largest of ``SIZES`` in which the page is reckoned to fit, else ``TWO_SIDES`` [pt].

    Args:
        title: of the page.
        body: its HTML.
    """
    blocks = tuple(_Blocks.of(f"<h1>{title}</h1>{body}"))
    return next((size for size in SIZES if _height(blocks, size) <= _PAGE), TWO_SIDES)


def _height(blocks: tuple[tuple[str, int], ...], size: float) -> float:
    return sum(_block_height(kind, letters, size * _PT) for kind, letters in blocks)


def _block_height(kind: str, letters: int, size: float) -> float:
    """[mm] of a block of so many letters; ``size`` in [mm] too."""
    size *= _BIGGER.get(kind, 1.0)
    width = _WIDE * (_NAME if kind == "row" else 1.0)
    lines = max(1, ceil(letters * _LETTER * size / width)) if kind != "table" else 0
    return lines * size * _LINE + _AFTER[kind]


class _Blocks(HTMLParser):
    """Paragraphs, headings and rows with the letters in each, of a row those of its first cell."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[tuple[str, int]] = []
        self.kind: str | None = None
        self.letters = 0
        self.cells = 0
        self.blank = False

    @classmethod
    def of(cls, html: str) -> Iterator[tuple[str, int]]:
        """The blocks of a page."""
        parser = cls()
        parser.feed(html)
        parser.close()
        yield from parser.found

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Begin a block."""
        if tag == "table":
            self.blank = ("class", "blanks") in attrs
            self.found.append(("table", 0))
        if tag in {"p", "li", "h1", "h2"}:
            self.kind, self.letters = tag, 0
        elif tag == "tr":
            self.kind, self.letters, self.cells = "blanks" if self.blank else "row", 0, 0
        elif tag in {"th", "td"}:
            self.cells += 1
            wide = dict(attrs).get("colspan") is not None
            if wide and self.kind == "row":
                self.kind = "p"

    def handle_endtag(self, tag: str) -> None:
        """End a block."""
        if self.kind is not None and tag in {"p", "li", "h1", "h2", "tr"} and self.letters:
            self.found.append((self.kind, self.letters))
            self.letters = 0
            if tag == "tr":
                self.kind = None

    def handle_data(self, data: str) -> None:
        """Count letters."""
        if self.kind != "row" or self.cells <= 1:
            self.letters += len(data.strip())
