"""``barwright schema``: what a file of a bench may hold, for editors."""

import json
from typing import Annotated

import typer

from ...constraints.bench.schema import File, schema_of


def command(
    file: Annotated[
        File,
        typer.Argument(metavar="FILE", help="brief, materials or workshop.", show_default=False),
    ],
) -> None:
    """Print the JSON Schema of a bench's FILE, by which an editor completes and marks slips."""
    typer.echo(json.dumps(schema_of(file), ensure_ascii=False, indent=2))
