"""What stands on a page, in the order in which it is read; the templates say how it looks."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterable


class ElementKind(StrEnum):
    """Which template a block is written with."""

    SENTENCE = "sentence"
    ITEM = "item"
    LINES = "lines"
    TABLE = "table"
    PICTURE = "picture"
    PANEL = "panel"


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
    def kind(self) -> ElementKind:
        """A paragraph or an item of a list."""
        return ElementKind.ITEM if self.item else ElementKind.SENTENCE


@dataclass(frozen=True, slots=True)
class Lines:
    """Short lines of which each stands for itself, as what to weigh.

    Args:
        lines: each with its cells, figures and names.
    """

    lines: tuple[tuple[str, ...], ...]

    @property
    def kind(self) -> ElementKind:
        """A list without dots."""
        return ElementKind.LINES


@dataclass(frozen=True, slots=True)
class TableRow:
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
class Tabulated:
    """A table.

    Args:
        caption: what is in it.
        heads: of its columns; an empty one stands over names.
        right: which columns stand to the right.
        rows: what is in it.
        pen: columns that are left empty for a pen.
        ticks: whether each row begins with a box to be ticked.
    """

    caption: str
    heads: tuple[str, ...]
    right: frozenset[int]
    rows: tuple[TableRow, ...]
    pen: frozenset[int] = frozenset()
    ticks: bool = False

    def ticked(self, row: TableRow) -> bool:
        """Whether a row is gone through: a sum has an empty cell, and is not."""
        return self.ticks and all(row.cells)

    @property
    def kind(self) -> ElementKind:
        """A table."""
        return ElementKind.TABLE


@dataclass(frozen=True, slots=True)
class Illustration:
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
    figures: Tabulated

    @property
    def kind(self) -> ElementKind:
        """A picture."""
        return ElementKind.PICTURE


@dataclass(frozen=True, slots=True)
class Panel:
    """What stands on a box, in a frame.

    Args:
        entries: what each is, and its text; empty where it is still to be filled in.
    """

    entries: tuple[tuple[str, str], ...]

    @property
    def kind(self) -> ElementKind:
        """A frame."""
        return ElementKind.PANEL


class Element(Protocol):
    """Anything that stands on a page."""

    @property
    def kind(self) -> ElementKind:
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
    blocks: tuple[Element, ...]
    place: str = ""
    grave: bool = False

    def grouped(self) -> tuple[tuple[ElementKind, tuple[Element, ...]], ...]:
        """Blocks with those of one kind that follow each other together."""
        groups: list[tuple[ElementKind, list[Element]]] = []
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
    pictures: tuple[Illustration, ...]
    full: tuple[Section, ...]
    footer: str
    back: Link | None = None

    @property
    def head(self) -> str:
        """What the browser calls it."""
        return f"{self.title}: {self.about}" if self.about else self.title


@dataclass(frozen=True, slots=True)
class LinkGroup:
    """Pages that belong together.

    Args:
        title: of what.
        entries: of each answer its page, and what was written with it.
    """

    title: str
    entries: tuple[tuple[Link, ...], ...]


@dataclass(frozen=True, slots=True)
class Index:
    """The page that leads to others of its folder.

    Args:
        title: what it is.
        groups: of pages.
        undone: what could not be made, and why.
        footer: when and with what it was made.
    """

    title: str
    groups: tuple[LinkGroup, ...]
    undone: tuple[str, ...]
    footer: str


def placed(sections: Iterable[Section]) -> tuple[Section, ...]:
    """Sections with a place for links, each its own."""
    return tuple(
        Section(one.title, one.blocks, f"part-{number}", one.grave)
        for number, one in enumerate(sections, start=1)
    )
