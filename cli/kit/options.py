"""Arguments and options that several commands share."""

from enum import StrEnum
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.problem import refuse

if TYPE_CHECKING:
    from datetime import date


class Format(StrEnum):
    """How an answer is shown."""

    TABLE = "table"
    JSON = "json"


class LinesToo(StrEnum):
    """The same where an answer is lines of figures besides."""

    TABLE = "table"
    JSON = "json"
    CSV = "csv"


EVERY = "all"
"""What stands for every material of the shelf where a name is asked for."""

BenchPath = Annotated[
    Path, typer.Argument(metavar="BENCH", help="The bench: a folder.", show_default=False)
]
FormulaPath = Annotated[
    Path,
    typer.Argument(
        metavar="FORMULA", help="A formula file: .toml, .csv or .xlsx.", show_default=False
    ),
]
Shown = Annotated[Format, typer.Option("--format", help="How to show the answer.")]


def day_asked(
    option: str, written: str | None, expected: str = "a day such as 2026-11-23"
) -> "date":
    """The day that an option names; today where it names none.

    Raises:
        InputError: when it is no day.
    """
    from datetime import date

    if written is None:
        return date.today()  # noqa: DTZ011  (a day of the maker's calendar)
    try:
        return date.fromisoformat(written)
    except ValueError:
        return refuse(option, written, expected)


def finite(number: float | None) -> float | None:
    """A number that a range would let through though it is none.

    Raises:
        typer.BadParameter: for ``nan`` and what has no end.
    """
    if number is not None and not isfinite(number):
        raise typer.BadParameter(f"{number} is not a number")
    return number


All = Annotated[bool, typer.Option("--all", help="Say all there is to say, not one screen of it.")]
