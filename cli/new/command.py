"""``barwright new``: start a bench of your own."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from ...constraints.bench.starting import Starter

USUAL = "usual"
"""What is answered for the bar that suits most hair."""

ASKED = "Which bar"


def command(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="The folder to make.", show_default=False)
    ],
    kind: Annotated[
        Starter | None,
        typer.Option(
            "--kind",
            help="What kind of bar; on a terminal it is asked for. Without, one for most hair.",
            show_default=False,
        ),
    ] = None,
) -> None:
    """Make DIR a bench: a commented brief, a shelf, a formula. Writes over nothing."""
    from ...constraints.bench.starting import new_bench

    new_bench(folder, kind if kind is not None or not _at_a_terminal() else _asked())
    typer.echo(f"{folder} is a bench. Next: put your prices into {folder / 'shelf.csv'}, then")
    typer.echo(f"  barwright cheapest {folder}")


def _at_a_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _asked() -> Starter | None:
    """The kind that a maker answers with; the usual one on a bare return."""
    said = typer.prompt(
        f"{ASKED}: {', '.join((USUAL, *Starter))}",
        default=USUAL,
        show_default=False,
        value_proc=_kind,
    )
    return None if said == USUAL else Starter(said)


def _kind(answer: str) -> str:
    """An answer, or that it is none of them."""
    word = answer.strip().casefold() or USUAL
    if word not in {USUAL, *Starter}:
        raise typer.BadParameter(f"one of {', '.join((USUAL, *Starter))}")
    return word
