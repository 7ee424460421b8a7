"""A workbook of a spreadsheet -> the same lines as a CSV file of it, each cell with its place.

A number takes its unit from how the cell is shown (``0.0" kg"``, a currency, per cent), or else
from the heading (``pack [kg]``). A formula counts by the value that was saved with it.
"""

import io
import re
import warnings
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from importlib.util import find_spec
from typing import TYPE_CHECKING
from xml.etree.ElementTree import ParseError
from zipfile import BadZipFile, ZipFile

from ..values.door import LARGEST, SEEN, too_large, unseen_in
from ..values.problem import Problem, Where, shown
from ..values.sheet import Line, Sheet

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

BEGINS = b"PK\x03\x04"
"""How the content of a workbook begins; no text does."""

_UNPACKED = 10 * LARGEST  # no sheet that is kept by hand is larger [bytes]
_UNREADABLE = (
    BadZipFile, zlib.error, ParseError, KeyError, ValueError, TypeError, AttributeError,
    IndexError, OSError, EOFError, NotImplementedError, RuntimeError,
)  # fmt: skip
_HEAD = re.compile(r"(.*?)\s*\[(.*)\]", re.DOTALL)
_LITERAL = re.compile(r'"([^"]+)"|\[\$([^\]-]+)')
_ONE_MARK = re.compile(r"-?\d{1,3}\.\d{3}")


@dataclass(frozen=True, slots=True)
class _Cell:
    """A cell as saved: its value, how it is shown, and whether it is an error or an empty formula.

    Args:
        place: such as "B3".
        value: what was saved.
        form: the number format.
        wrong: what is wrong with it; empty where nothing is.
    """

    place: str
    value: object
    form: str
    wrong: str

    def text(self, unit: str) -> str:
        """The cell as it would be written in a CSV file."""
        if self.value is None:
            return ""
        if isinstance(self.value, bool):
            return "yes" if self.value else "no"
        if isinstance(self.value, int | float):
            return _figure(self.value, self.form, unit)
        if isinstance(self.value, datetime):
            return self.value.date().isoformat()
        if isinstance(self.value, date):
            return self.value.isoformat()
        return " ".join(str(self.value).split())


def _figure(value: float, form: str, unit: str) -> str:
    if "%" in form:
        return f"{value * 100:.12g} %"
    literal = _LITERAL.search(form)
    figure = f"{value:.12g}"
    if _ONE_MARK.fullmatch(figure):
        figure += "0"  # else a decimal comma elsewhere in the sheet would make thousands of it
    said = (literal[1] or literal[2]).strip() if literal else unit
    return f"{figure} {said}".strip()


def is_workbook(content: str | bytes) -> bool:
    """Whether a file is a workbook, by what it begins with."""
    return isinstance(content, bytes) and content.startswith(BEGINS)


def lines_of(sheet: Sheet, content: str | bytes, wanted: str) -> list[Line]:
    """The lines of a file, a workbook or CSV; what is wrong is noted.

    Args:
        sheet: what it is read by.
        content: what stands in the file.
        wanted: the sheet of a workbook; the first one where none is called so.
    """
    if not is_workbook(content):
        return sheet.lines(content)
    assert isinstance(content, bytes)  # noqa: S101  (a text is no workbook)
    problem = _refused(content)
    if problem is None:
        try:
            title, rows = _rows(content, wanted)
        except _UNREADABLE as error:
            problem = (f"no workbook: {shown(str(error))}", "a workbook as a spreadsheet saves it")
    if problem is not None:
        sheet.problems.append(Problem(Where(sheet.file), *problem))
        return []
    return _lines(replace(sheet, title=title), rows)


def _refused(content: bytes) -> tuple[str, str] | None:
    """What keeps a workbook from being opened at all: what was found, what would be right."""
    if find_spec("openpyxl") is None:
        expected = "pip install 'barwright[workbook]', or the sheet saved as CSV"
        return "a workbook, and no library that reads it", expected
    large = too_large(content)
    if large is not None:
        return large
    try:
        with ZipFile(io.BytesIO(content)) as packed:
            unpacked = sum(part.file_size for part in packed.infolist())
    except _UNREADABLE as error:
        return f"no workbook: {shown(str(error))}", "a workbook as a spreadsheet saves it"
    if unpacked > _UNPACKED:
        return f"{unpacked:,} bytes unpacked", f"at most {_UNPACKED:,} bytes"
    return None


def _rows(content: bytes, wanted: str) -> tuple[str, list[tuple[int, list[_Cell]]]]:
    """The title of the sheet, and the rows that say something, each with its number."""
    from openpyxl import load_workbook

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of what it leaves out: pictures, rules for entry
        values = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        written = load_workbook(io.BytesIO(content), read_only=True)
        title = _title(values, wanted)
        rows = list(_cells(values[title], written[title]))
    return title, [(number, row) for number, row in rows if _says_something(row)]


def _title(book: "Workbook", wanted: str) -> str:
    named = [name for name in book.sheetnames if name.strip().casefold() == wanted]
    return named[0] if named else book.sheetnames[0]


def _cells(values: "Worksheet", written: "Worksheet") -> Iterator[tuple[int, list[_Cell]]]:
    from openpyxl.utils import get_column_letter

    for number, (row, formulas) in enumerate(
        zip(values.iter_rows(), written.iter_rows(), strict=True), start=1
    ):
        cells = []
        for place, (cell, formula) in enumerate(zip(row, formulas, strict=True), start=1):
            wrong = ""
            if formula.data_type == "f" and cell.value is None:
                wrong = "a formula without a saved value"
            elif cell.data_type == "e":
                wrong = f"the error {cell.value}"
            where = f"{get_column_letter(place)}{number}"
            cells.append(_Cell(where, cell.value, cell.number_format or "", wrong))
        yield number, cells


def _says_something(row: Sequence[_Cell]) -> bool:
    texts = [cell.text("") or cell.wrong for cell in row]
    return any(texts) and not texts[0].startswith("#")


def _lines(sheet: Sheet, rows: Sequence[tuple[int, list[_Cell]]]) -> list[Line]:
    number, head = rows[0] if rows else (1, [])
    parted = [_HEAD.fullmatch(cell.text("")) for cell in head]
    texts = [match[1] if match else cell.text("") for match, cell in zip(parted, head, strict=True)]
    units = [match[2].strip() if match else "" for match in parted]
    while texts and not texts[-1]:
        texts.pop()
    before = len(sheet.problems)
    for _, row in rows:
        for cell in row:
            _refuse_cell(sheet, cell)
    if len(sheet.problems) > before:
        return []
    written = (
        (at, [(cell.place, cell.text(unit)) for cell, unit in zip(row, units, strict=False)])
        for at, row in rows[1:]
    )
    return sheet.lines_of_cells(number, texts, written)


def _refuse_cell(sheet: Sheet, cell: _Cell) -> None:
    where = Where(sheet.file, sheet.cell(cell.place))
    unseen = unseen_in(cell.value) if isinstance(cell.value, str) else None
    if cell.wrong:
        sheet.problems.append(Problem(where, cell.wrong, "a value"))
    elif unseen is not None:
        sheet.problems.append(Problem(where, unseen[1], SEEN))
