"""``barwright new``: start a bench of your own."""

from pathlib import Path
from typing import Annotated

import typer

STARTER = ("brief.toml", "shelf.csv", "materials.toml", "formulas/first.toml")


def command(
    folder: Annotated[
        Path, typer.Argument(metavar="DIR", help="The folder to make.", show_default=False)
    ],
) -> None:
    """Make DIR a bench: a commented brief, a shelf, a formula. Writes over nothing."""
    from ...constraints.data import packaged
    from ..kit.writing import put

    _refuse_taken(folder)
    starter = packaged("starter-bench")
    (folder / "formulas").mkdir(parents=True, exist_ok=True)
    for name in STARTER:
        text = starter.joinpath(name).read_text(encoding="utf-8")
        put(folder / name, text, overwrite=False)
    typer.echo(f"{folder} is a bench. Next: put your prices into {folder / 'shelf.csv'}, then")
    typer.echo(f"  barwright cheapest {folder}")


def _refuse_taken(folder: Path) -> None:
    """Look at every file before the first is written, so that nothing is left half made."""
    from ...constraints.values.problem import Problem, Where, refuse, refuse_all

    if folder.exists() and not folder.is_dir():
        refuse(str(folder), "a file", "a name for a folder to be made")
    refuse_all(
        Problem(
            Where(str(folder / name)),
            "a file that is already there",
            "a folder without it; nothing is written over",
        )
        for name in STARTER
        if (folder / name).exists()
    )
