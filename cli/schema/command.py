"""``barwright schema``: what a file of a bench, or an answer as JSON, may hold."""

import json
from typing import Annotated

import typer

from ...constraints.bench.schema import File, schema_of
from ...constraints.values.names import the_name
from ...constraints.values.problem import Where, refuse
from .answers import answer_schema, answers


def command(
    file: Annotated[
        File | None,
        typer.Argument(metavar="FILE", help="brief, materials or workshop.", show_default=False),
    ] = None,
    answer: Annotated[
        str | None,
        typer.Option(metavar="COMMAND", help="Of what a command prints with --format json."),
    ] = None,
) -> None:
    """Print the JSON Schema of a bench's FILE, by which an editor completes and marks slips."""
    if (file is None) == (answer is None):
        found = "neither a file nor an answer" if file is None else "a file and an answer"
        refuse("the command line", found, "brief, materials or workshop, or --answer COMMAND")
    typer.echo(json.dumps(_asked(file, answer), ensure_ascii=False, indent=2))


def _asked(file: File | None, answer: str | None) -> dict[str, object]:
    if file is not None:
        return schema_of(file)
    expected = "a command that answers in JSON"
    return answer_schema(the_name(Where("--answer"), answer or "", answers(), expected))
