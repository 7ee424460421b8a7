"""``--table FILE`` beside every command that has tables: the same answer for a spreadsheet."""

import inspect
from collections.abc import Callable, Mapping
from contextvars import ContextVar
from dataclasses import dataclass
from functools import wraps
from pathlib import Path
from typing import Annotated

import typer

from ...constraints.values.problem import refuse

WITHOUT = frozenset({"new", "schema", "verify"})
"""Commands whose answer is no table."""

_TABLE = Annotated[
    Path | None,
    typer.Option(
        "--table",
        metavar="FILE",
        help="Also write all figures for a spreadsheet, .xlsx or .csv.",
    ),
]
_OVERWRITE = Annotated[
    bool, typer.Option("--overwrite", help="Let files that are there be replaced.")
]


@dataclass(frozen=True, slots=True)
class _Asked:
    """Where the tables of an answer go, and whether they may replace what is there."""

    path: Path
    overwrite: bool


_asked: ContextVar[_Asked | None] = ContextVar("asked", default=None)
"""What the command line in hand asks for; the answer is given far below where it was read."""


def with_table(command: Callable[..., object]) -> Callable[..., object]:
    """A command that takes ``--table`` too, and ``--overwrite`` where it did not yet."""
    signature = inspect.signature(command, eval_str=True)
    own = dict(signature.parameters)
    takes_overwrite = own.pop("overwrite", None) is not None

    @wraps(command)
    def run(**given: object) -> object:
        path, overwrite = given.pop("table"), bool(given["overwrite"])
        if not takes_overwrite:
            del given["overwrite"]
        if not isinstance(path, Path):
            return command(**given)
        _refuse_target(path, overwrite=overwrite)
        token = _asked.set(_Asked(path, overwrite))
        try:
            return command(**given)
        finally:
            _asked.reset(token)

    more = (_option("table", _TABLE, None), _option("overwrite", _OVERWRITE, False))
    made = signature.replace(parameters=[*own.values(), *more])
    run.__dict__["__signature__"] = made
    return run


def _option(name: str, annotation: object, default: object) -> inspect.Parameter:
    kind = inspect.Parameter.KEYWORD_ONLY
    return inspect.Parameter(name, kind, default=default, annotation=annotation)


def _refuse_target(path: Path, *, overwrite: bool) -> None:
    """Turn down a file that cannot be written before anything is worked out."""
    from .workbook import can_make_workbooks

    ending = path.suffix.casefold()
    if ending not in {".xlsx", ".csv"}:
        refuse("--table", str(path), "a name that ends in .xlsx or .csv")
    if ending == ".xlsx" and not can_make_workbooks():
        found = "no library that makes workbooks"
        refuse("--table", found, "pip install 'barwright[workbook]', or a name that ends in .csv")
    if not overwrite:
        parts = path.parent.glob(f"{path.stem}-*{path.suffix}") if ending == ".csv" else ()
        there = next((one for one in (path, *sorted(parts)) if one.exists()), None)
        if there is not None:
            refuse(str(there), "a file that is there already", "another name, or --overwrite")


def table_beside(command: str, form: Callable[[], Mapping[str, object]]) -> None:
    """Write an answer as tables where the command line asks for it; else do nothing.

    Args:
        command: whose answer it is.
        form: makes the body of its JSON document.

    Raises:
        InputError: when something is in the way.
    """
    asked = _asked.get()
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
