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
    from ...constraints.bench.writing import write_atomically
    from ...constraints.data import packaged
    from ..kit.loading import leave

    _refuse_taken(folder)
    starter = packaged("starter-bench")
    (folder / "formulas").mkdir(parents=True, exist_ok=True)
    for name in STARTER:
        text = starter.joinpath(name).read_text(encoding="utf-8")
        problem = write_atomically(folder / name, text)
        if problem is not None:
            from ...constraints.values.problem import Problems

            leave(Problems((problem,)))
    typer.echo(f"{folder} is a bench. Next: put your prices into {folder / 'shelf.csv'}, then")
    typer.echo(f"  barwright cheapest {folder}")


def _refuse_taken(folder: Path) -> None:
    """Look at every file before the first is written, so that nothing is left half made."""
    from ...constraints.values.problem import Problem, Problems, Where
    from ..kit.loading import leave

    if folder.exists() and not folder.is_dir():
        leave(Problems((Problem(Where(str(folder)), "a file", "a name for a folder to be made"),)))
    taken = tuple(name for name in STARTER if (folder / name).exists())
    if taken:
        leave(
            Problems(
                tuple(
                    Problem(
                        Where(str(folder / name)),
                        "a file that is already there",
                        "a folder without it; nothing is written over",
                    )
                    for name in taken
                )
            )
        )
