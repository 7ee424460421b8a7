"""``barwright new``: start a bench of your own."""

from pathlib import Path
from typing import Annotated

import typer


def command(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="The folder to make.", show_default=False)
    ],
) -> None:
    """Make DIR a bench: a commented brief, a shelf, a formula. Writes over nothing."""
    from ...constraints.bench.starting import new_bench

    new_bench(folder)
    typer.echo(f"{folder} is a bench. Next: put your prices into {folder / 'shelf.csv'}, then")
    typer.echo(f"  barwright cheapest {folder}")
