"""A CSV file of a spreadsheet -> rows by column name, each with its line."""

import csv
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from .names import nearest_names, spelt
from .number import has_decimal_comma, may_part_thousands
from .problem import Problem, Where, shown
from .text import text_of


@dataclass(frozen=True, slots=True)
class Line:
    """One row: its place, and its fields by column, stripped; absent columns are empty.

    ``comma`` says that the sheet has decimal commas, so that a point may part its thousands.
    ``cells`` are the places of the fields in a workbook; a CSV file has none.
    """

    where: Where
    fields: Mapping[str, str]
    comma: bool = False
    cells: Mapping[str, str] = field(default_factory=dict)

    def __getitem__(self, column: str) -> str:
        return self.fields.get(column, "")

    def problem(
        self, column: str, found: str, expected: str, nearest: tuple[str, ...] = ()
    ) -> Problem:
        """What is wrong with one field."""
        where = self.at(column)
        if where == self.where:
            where = Where(self.where.file, f"{self.where.place}, {column}")
        return Problem(where, found, expected, nearest)

    def at(self, column: str) -> Where:
        """Where a field stands: its cell in a workbook, its line in a CSV file."""
        return Where(self.where.file, self.cells.get(column, self.where.place))


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a sheet is read by.

    Args:
        file: as shown to the maker.
        columns: the columns it may have, in any order.
        needed: those it must have.
        problems: where what is wrong is noted.
        title: of the sheet within a workbook; empty for a CSV file.
        own: how the name of a column begins that is the maker's own; empty where there may be none.
        called: names of things that may head a column of their own, short ones too.
        thing: what these are, as "a material on the shelf".
    """

    file: str
    columns: tuple[str, ...]
    needed: tuple[str, ...]
    problems: list[Problem]
    title: str = ""
    own: str = ""
    called: Collection[str] = ()
    thing: str = ""

    def lines(self, content: str | bytes) -> list[Line]:
        """Read a sheet with a header; blank lines and ``#`` lines count for nothing.

        Fields are parted by ``;`` or ``,`` as the header is.
        """
        text = text_of(self.file, content, self.problems)
        if text is None:
            return []
        rows = _rows(text)
        number, first = next(rows, (1, ""))
        separator = self._separator(first)
        head = [field.strip().casefold() for field in self._fields(number, first, separator)]
        if not self._sound_head(number, first, head):
            return []
        read = (self._line(number, text, head, separator) for number, text in rows)
        lines = [line for line in read if line is not None]
        comma = separator == ";" and _writes_commas(lines)
        return [replace(line, comma=comma) for line in lines]

    def lines_of_cells(
        self,
        number: int,
        head: Sequence[str],
        rows: Iterable[tuple[int, Sequence[tuple[str, str]]]],
    ) -> list[Line]:
        """Read the cells of a workbook.

        Args:
            number: the row of the header.
            head: its fields.
            rows: the number of each further row, and place and text of its cells.
        """
        keys = [name.strip().casefold() for name in head]
        if not self._sound_head(number, ", ".join(head), keys):
            return []
        lines = [self._cells_line(at, cells, keys) for at, cells in rows]
        comma = _writes_commas(lines)
        return [replace(line, comma=comma) for line in lines]

    def _cells_line(self, number: int, cells: Sequence[tuple[str, str]], keys: list[str]) -> Line:
        fields = {key: text for key, (_, text) in zip(keys, cells, strict=False)}
        places = {key: self.cell(place) for key, (place, _) in zip(keys, cells, strict=False)}
        return Line(self._where(number), fields, cells=places)

    def cell(self, place: str) -> str:
        """A cell of a workbook as it is told: the sheet and the cell."""
        return f"sheet {self.title}, cell {place}"

    def _where(self, number: int) -> Where:
        row = f"sheet {self.title}, row {number}" if self.title else f"line {number}"
        return Where(self.file, row)

    def refuse(self, number: int, found: str, expected: str, nearest: tuple[str, ...] = ()) -> None:
        """Note a problem with a whole line."""
        self.problems.append(Problem(self._where(number), found, expected, nearest))

    def _separator(self, first: str) -> str:
        """What parts fields: what parts the header, where names of things may hold commas."""
        if self.called and ";" in first:
            return ";"
        return ";" if first.count(";") >= first.count(",") and ";" in first else ","

    def _fields(self, number: int, line: str, separator: str) -> list[str]:
        """The fields of one line; a name in quotation marks may hold the separator."""
        reader = csv.reader([line], delimiter=separator, strict=True, skipinitialspace=True)
        try:
            return next(reader, [])
        except csv.Error:
            self.refuse(number, shown(line), "quotation marks in pairs, around a whole field")
            return []

    def _sound_head(self, number: int, line: str, head: list[str]) -> bool:
        before = len(self.problems)
        missing = [name for name in self.needed if name not in head]
        if self.needed and len(missing) == len(self.needed):
            found = shown(line) or "no header"
            self.refuse(number, found, f"a header: {','.join(self.columns)}")
            return False
        for name in missing:
            self.refuse(number, f"no column {name}", f"a column {name}")
        for name in dict.fromkeys(head):
            self._sound_column(number, name, head)
        return len(self.problems) == before

    def _sound_column(self, number: int, name: str, head: list[str]) -> None:
        own = self.own and name.startswith(self.own) and len(name) > len(self.own)
        meant = spelt(name, self.called) if name and self.called else None
        if name not in self.columns and not own and meant is None:
            near = nearest_names(name, (*self.columns, *self.called))
            found = f"column {shown(name) or 'without a name'}"
            among = f"columns among {', '.join(self.columns)}"
            expected = f"the column {self.columns[0]}, or {self.thing}" if self.thing else among
            self.refuse(number, found, expected, near)
        elif head.count(name) > 1 or self._again(name, meant, head):
            self.refuse(number, f"column {name} twice", "each column once")

    def _again(self, name: str, meant: str | None, head: list[str]) -> bool:
        """Whether a column further left heads the same thing under another of its names."""
        before = head[: head.index(name)]
        return meant is not None and any(spelt(one, self.called) == meant for one in before if one)

    def _line(self, number: int, text: str, head: list[str], separator: str) -> Line | None:
        fields = self._fields(number, text, separator)
        if not fields:
            return None
        while len(fields) > len(head) and not fields[-1].strip():
            fields.pop()  # a spreadsheet leaves empty cells at the end
        if len(fields) != len(head) and (len(fields) > len(head) or len(fields) < len(self.needed)):
            quoted = "; a field with a comma in it stands in quotation marks"
            expected = f"{len(head)} fields parted by {separator}"
            expected += quoted if separator == "," else ""
            self.refuse(number, f"{len(fields)} fields: {shown(text)}", expected)
            return None
        stripped = (field.strip() for field in fields)
        return Line(Where(self.file, f"line {number}"), dict(zip(head, stripped, strict=False)))


def _writes_commas(lines: list[Line]) -> bool:
    """Whether the figures of a sheet are written as where the comma is the decimal mark.

    "1.000 g" alone says so too: nobody writes three decimals that end in nought.
    """
    fields = [field for line in lines for field in line.fields.values()]
    return any(has_decimal_comma(field) or may_part_thousands(field) for field in fields)


def _rows(text: str) -> Iterator[tuple[int, str]]:
    """Line number and text of each line that says something."""
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for number, line in enumerate(lines, start=1):
        if line.strip(" \t;,") and not line.lstrip().startswith("#"):
            yield number, line
