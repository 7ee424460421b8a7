"""Arguments and options that several commands share."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer


class Format(StrEnum):
    """How an answer is shown."""

    TABLE = "table"
    JSON = "json"


BenchPath = Annotated[
    Path, typer.Argument(metavar="BENCH", help="The bench: a folder.", show_default=False)
]
FormulaPath = Annotated[
    Path,
    typer.Argument(metavar="FORMULA", help="A formula file, .toml or .csv.", show_default=False),
]
Shown = Annotated[Format, typer.Option("--format", help="How to show the answer.")]
