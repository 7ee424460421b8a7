"""Tables as files of a spreadsheet: a workbook, or comma-separated lines in a file for each table.

Numbers are numbers. A text is never more than a text: one that a spreadsheet would take for a
formula is marked as text in a workbook, and begins with an apostrophe in lines.
"""

import csv
import io
from collections.abc import Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.values.door import seen
from .tables import Cell, Named

if TYPE_CHECKING:
    from openpyxl.cell import Cell as BookCell
    from openpyxl.cell import MergedCell
    from openpyxl.worksheet.worksheet import Worksheet

STARTS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")
_LONGEST_NAME = 31  # of a sheet, in the file format of workbooks
_LONGEST_TEXT = 32_767  # of a cell, there
_WIDEST = 48  # of a column, in signs, so that the next one stays in sight


def can_make_workbooks() -> bool:
    """Whether the library that makes workbooks is here."""
    return find_spec("openpyxl") is not None


def workbook_of(tables: Sequence[Named]) -> bytes:
    """A workbook with a sheet for each table: its head stays in sight, its numbers are numbers."""
    from openpyxl import Workbook

    book = Workbook()
    book.remove(book.worksheets[0])
    for name, table in zip(_sheet_names(tables), tables, strict=True):
        _fill(book.create_sheet(name), table)
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def _sheet_names(tables: Sequence[Named]) -> Iterator[str]:
    """Names that a workbook takes: not too long, and each once."""
    taken: set[str] = set()
    for table in tables:
        name, number = table.name[:_LONGEST_NAME], 1
        while name in taken:
            number += 1
            name = f"{table.name[: _LONGEST_NAME - 3]} {number}"
        taken.add(name)
        yield name


def _fill(sheet: "Worksheet", table: Named) -> None:
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    lines = (table.heads, *_lines(table))
    for row, line in enumerate(lines, start=1):
        for column, value in enumerate(line, start=1):
            _put(sheet.cell(row, column), value)
    for cell in sheet[1] if table.heads else ():
        cell.font = Font(bold=True)
    sheet.freeze_panes = "A2"
    for column in range(1, len(table.heads) + 1):
        longest = max(len(str(line[column - 1])) for line in lines)
        sheet.column_dimensions[get_column_letter(column)].width = min(longest + 2, _WIDEST)


def _put(cell: "BookCell | MergedCell", value: Cell) -> None:
    if not isinstance(value, str):
        cell.value = value
        return
    text = seen(value)[:_LONGEST_TEXT]
    cell.value = text
    if text.startswith(STARTS_A_FORMULA):
        cell.data_type = "s"  # else a text that begins with = is a formula
        cell.quotePrefix = True  # and it stays a text when the cell is edited


def files_of(path: Path, tables: Sequence[Named]) -> tuple[tuple[Path, str], ...]:
    r"""Comma-separated lines: ``path`` itself for one table, else ``path`` with its name for each.

    >>> one = Named("rules", ("rule",), ("rule",), ({"rule": "=1+1"},))
    >>> files_of(Path("answer.csv"), [one])[0][1]
    "rule\n'=1+1\n"
    """
    if len(tables) == 1:
        return ((path, _csv(tables[0])),)
    return tuple((part_of(path, table.name), _csv(table)) for table in tables)


def part_of(path: Path, name: str) -> Path:
    """Where the lines of one of several tables go.

    >>> part_of(Path("answer.csv"), "left out").name
    'answer-left-out.csv'
    """
    return path.with_name(f"{path.stem}-{name.replace(' ', '-')}{path.suffix}")


def _csv(table: Named) -> str:
    made = io.StringIO()
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow(table.heads)
    writer.writerows([harmless(value) for value in line] for line in _lines(table))
    return made.getvalue()


def harmless(value: Cell) -> Cell:
    """A cell of lines that no spreadsheet takes for a formula.

    >>> harmless("=1+1"), harmless(-1.5)
    ("'=1+1", -1.5)
    """
    if isinstance(value, str) and value.startswith(STARTS_A_FORMULA):
        return f"'{seen(value)}"
    return seen(value) if isinstance(value, str) else value


def _lines(table: Named) -> Iterator[tuple[Cell, ...]]:
    return (tuple(row.get(column) for column in table.columns) for row in table.rows)
