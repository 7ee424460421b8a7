"""What stands on a page, in the order in which it is read; the templates say how it looks."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterable


class Kind(StrEnum):
    """Which template a block is written with."""

    SENTENCE = "sentence"
    ITEM = "item"
    LINES = "lines"
    TABLE = "table"
    PICTURE = "picture"


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence or several that belong together.

    Args:
        text: what is said.
        inset: whether it stands under another, further in.
        item: whether it is one of a list.
    """

    text: str
    inset: bool = False
    item: bool = False

    @property
    def kind(self) -> Kind:
        """A paragraph or an item of a list."""
        return Kind.ITEM if self.item else Kind.SENTENCE


@dataclass(frozen=True, slots=True)
class Lines:
    """Short lines of which each stands for itself, as what to weigh.

    Args:
        lines: each with its cells, figures and names.
    """

    lines: tuple[tuple[str, ...], ...]

    @property
    def kind(self) -> Kind:
        """A list without dots."""
        return Kind.LINES


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table.

    Args:
        cells: one for each head; a row that opens a group has one alone.
        group: whether it opens a group of rows.
        line: whether a line is drawn below it.
    """

    cells: tuple[str, ...]
    group: bool = False
    line: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """A table.

    Args:
        caption: what is in it.
        heads: of its columns; an empty one stands over names.
        right: which columns stand to the right.
        rows: what is in it.
        pen: columns that are left empty for a pen.
    """

    caption: str
    heads: tuple[str, ...]
    right: frozenset[int]
    rows: tuple[Row, ...]
    pen: frozenset[int] = frozenset()

    @property
    def kind(self) -> Kind:
        """A table."""
        return Kind.TABLE


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture, drawn, with the figures that it shows.

    Args:
        title: what it is called.
        said: what it shows, in a sentence.
        svg: the drawing.
        figures: the same as a table.
    """

    title: str
    said: str
    svg: str
    figures: Grid

    @property
    def kind(self) -> Kind:
        """A picture."""
        return Kind.PICTURE


class Block(Protocol):
    """Anything that stands on a page."""

    @property
    def kind(self) -> Kind:
        """Which template it is written with."""


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a page.

    Args:
        title: opens it; empty for none.
        blocks: what is in it.
        place: where a link finds it.
        grave: whether it warns.
    """

    title: str
    blocks: tuple[Block, ...]
    place: str = ""
    grave: bool = False

    def grouped(self) -> tuple[tuple[Kind, tuple[Block, ...]], ...]:
        """Blocks with those of one kind that follow each other together."""
        groups: list[tuple[Kind, list[Block]]] = []
        for block in self.blocks:
            if groups and groups[-1][0] is block.kind:
                groups[-1][1].append(block)
            else:
                groups.append((block.kind, [block]))
        return tuple((kind, tuple(blocks)) for kind, blocks in groups)


@dataclass(frozen=True, slots=True)
class Link:
    """Another page of the same folder.

    Args:
        file: its name, from where the page stands.
        text: what is there.
        said: what it says first; empty where that is not known.
    """

    file: str
    text: str
    said: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """A page.

    Args:
        title: what it is.
        about: which product and formula, for the head of the browser; empty where there is none.
        lead: what is said first.
        brief: what matters, in a few parts.
        pictures: what is to be looked at.
        full: all there is to say.
        footer: when and with what it was made.
        back: the page that it is found from.
    """

    title: str
    about: str
    lead: tuple[Sentence, ...]
    brief: tuple[Section, ...]
    pictures: tuple[Drawn, ...]
    full: tuple[Section, ...]
    footer: str
    back: Link | None = None

    @property
    def head(self) -> str:
        """What the browser calls it."""
        return f"{self.title}: {self.about}" if self.about else self.title


def placed(sections: Iterable[Section]) -> tuple[Section, ...]:
    """Sections with a place for links, each its own."""
    return tuple(
        Section(one.title, one.blocks, f"part-{number}", one.grave)
        for number, one in enumerate(sections, start=1)
    )
