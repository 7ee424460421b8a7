"""``--table FILE`` beside every command that has tables: the same answer for a spreadsheet."""

from collections.abc import Callable, Mapping
from contextvars import ContextVar
from pathlib import Path
from typing import Annotated

import typer

from ...constraints.values.problem import refuse
from .beside import Beside, Target, refuse_what_is_there

WITHOUT = frozenset({"new", "page", "schema", "verify"})
"""Commands whose answer is no table."""

_OPTION = Annotated[
    Path | None,
    typer.Option(
        "--table",
        metavar="FILE",
        help="Also write all figures for a spreadsheet, .xlsx or .csv.",
    ),
]


def _check(asked: Target) -> None:
    """Turn down a file that cannot be written before anything is worked out."""
    from .workbook import can_make_workbooks

    path, ending = asked.path, asked.path.suffix.casefold()
    if ending not in {".xlsx", ".csv"}:
        refuse("--table", str(path), "a name that ends in .xlsx or .csv")
    if ending == ".xlsx" and not can_make_workbooks():
        found = "no library that makes workbooks"
        refuse("--table", found, "pip install 'barwright[workbook]', or a name that ends in .csv")
    parts = path.parent.glob(f"{path.stem}-*{path.suffix}") if ending == ".csv" else ()
    refuse_what_is_there(asked, tuple(sorted(parts)))


TABLE = Beside("table", _OPTION, _check, ContextVar("table", default=None))


def table_beside(command: str, form: Callable[[], Mapping[str, object]]) -> None:
    """Write an answer as tables where the command line asks for it; else do nothing.

    Args:
        command: whose answer it is.
        form: makes the body of its JSON document.

    Raises:
        InputError: when something is in the way.
    """
    asked = TABLE.asked.get()
    if asked is None:
        return
    from .tables import tables_of
    from .workbook import files_of, workbook_of
    from .writing import put, put_all

    tables = tables_of({"command": command, **form()})
    if asked.path.suffix.casefold() == ".xlsx":
        put(asked.path, workbook_of(tables), overwrite=asked.overwrite)
    else:
        put_all(files_of(asked.path, tables), overwrite=asked.overwrite)
