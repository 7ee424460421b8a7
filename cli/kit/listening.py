"""Hears what a command would show and keeps it as blocks of a page, in the words of the screen.

A view writes headings, sentences, tables and pictures to a console. This one folds nothing, cuts
nothing short and draws what a terminal cannot show.
"""

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from rich.console import Console
from rich.table import Table
from rich.text import Text

from ...constraints.values.door import seen
from ..html.model import Element, Illustration, Lines, Panel, Section, Sentence, TableRow, Tabulated
from .one_screen import BOUND, UNBOUNDED

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from ..picture.canvas import Picture
    from .one_screen import Part

ALL = "--all"
"""What says on a screen that there is more; on a page there is, further down."""

BEWARE = "Beware"
_GROUP = re.compile("— (.*) —")
_ITEM = "- "
_PEN = re.compile("_+")


class Listening(Console):
    """A console that keeps what it is given."""

    def __init__(self, name: str = "picture") -> None:
        super().__init__(quiet=True, width=UNBOUNDED)
        self._name = name
        self._parts: list[tuple[str, list[Element]]] = [("", [])]
        self.pictures: list[Illustration] = []

    def print(self, *objects: object, **_: object) -> None:
        """Keep a table, a heading or a line."""
        for one in objects:
            if isinstance(one, Table):
                self._keep(self._grid(one))
            elif isinstance(one, Text):
                self.head(one.plain)
            else:
                self.say(str(one))

    def head(self, title: str) -> None:
        """Begin a part."""
        self._parts.append((seen(title).replace(ALL, "the full text below"), []))

    def say(self, text: str, *, inset: bool = False) -> None:
        """Keep what is said, a sentence or an item of a list."""
        if not text.strip():
            return
        item = text.startswith(_ITEM)
        text = text.replace(" %", f"{BOUND}%").replace(ALL, "the full text below")
        self._keep(Sentence(seen(text.removeprefix(_ITEM).strip()), inset, item))

    def hear(self, parts: "Iterable[Part]") -> None:
        """Keep the parts of one screen, none of them cut short."""
        for part in parts:
            self.head(part.title)
            if part.headed and part.cells:
                self._keep(self._headed(part))
            elif part.rows and part.lines:
                lines = part.cells or tuple((line.strip(),) for line in part.lines)
                self._keep(Lines(tuple(tuple(map(_plain, line)) for line in lines)))
            else:
                for line in part.lines:
                    self.say(line)

    def _headed(self, part: "Part") -> Tabulated:
        head, *rest = (tuple(map(_plain, line)) for line in part.cells)
        caption = part.title or self._parts[-1][0] or "Figures"
        return Tabulated(caption, head, part.right, tuple(TableRow(cells) for cells in rest))

    def look(self, make: "Callable[[], Picture | None]") -> None:
        """Draw a picture, where there is something to draw."""
        from ..picture.canvas import svg_in

        picture = make()
        if picture is None:
            return
        rows = tuple(TableRow(tuple(map(seen, cells))) for cells in picture.rows())
        heads = tuple(map(seen, picture.heads()))
        title, said = seen(picture.title), seen(picture.said)
        figures = Tabulated(title, heads, frozenset(range(1, len(heads))), rows)
        drawing = svg_in(picture, f"{self._name}-{len(self.pictures) + 1}")
        self.pictures.append(Illustration(title, said, drawing, figures))

    def tick(self, table: Table) -> None:
        """Keep a table that is gone through with a pen."""
        self._keep(replace(self._grid(table), ticks=True))

    def box(self, particulars: "Iterable[tuple[str, str]]") -> None:
        """Keep what stands on a box."""
        self._keep(Panel(tuple((seen(what), seen(text)) for what, text in particulars)))

    def sections(self) -> tuple[Section, ...]:
        """All that was kept, part by part."""
        return tuple(
            Section(title, tuple(blocks), grave=title == BEWARE)
            for title, blocks in self._parts
            if blocks
        )

    def _keep(self, block: Element) -> None:
        self._parts[-1][1].append(block)

    def _grid(self, table: Table) -> Tabulated:
        heads = tuple(_plain(column.header) for column in table.columns)
        right = frozenset(
            place for place, column in enumerate(table.columns) if column.justify == "right"
        )
        columns = [[_plain(cell) for cell in column.cells] for column in table.columns]
        lined = [row.end_section for row in table.rows]
        rows = tuple(
            _row(cells, line=lined[n]) for n, cells in enumerate(zip(*columns, strict=True))
        )
        pen = frozenset(place for place, cells in enumerate(columns) if _for_a_pen(cells))
        return Tabulated(self._caption(table), heads, right, rows, pen)

    def _caption(self, table: Table) -> str:
        """What a table is called: its own title, or that of its part and what is in it."""
        part = self._parts[-1][0]
        first = _plain(table.columns[0].header) if table.columns else ""
        own = _plain(table.title) if table.title else f"by {first}" if first else ""
        return ", ".join(filter(None, (part, own))) or "Figures"


def listening(console: Console) -> Listening | None:
    """The console, where it keeps what it is given."""
    return console if isinstance(console, Listening) else None


def _plain(shown: object) -> str:
    text = shown.plain if isinstance(shown, Text) else str(shown)
    return seen(text).replace(" %", f"{BOUND}%").strip()


def _row(cells: tuple[str, ...], *, line: bool) -> TableRow:
    group = _GROUP.fullmatch(cells[0])
    if group and not any(cells[1:]):
        return TableRow((group[1],), group=True)
    return TableRow(tuple(_PEN.sub("", cell) for cell in cells), line=line)


def _for_a_pen(cells: list[str]) -> bool:
    return bool(cells) and all(_PEN.fullmatch(cell) for cell in cells)
