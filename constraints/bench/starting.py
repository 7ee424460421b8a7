"""A bench to begin with."""

from pathlib import Path

from ..data import packaged
from ..values.problem import Problem, Where, refuse, refuse_all
from .writing import write_atomically

STARTER = ("brief.toml", "shelf.csv", "materials.toml", "formulas/first.toml")


def new_bench(folder: str | Path) -> Path:
    """Make a folder a bench with a commented brief, a shelf and a formula; write over nothing.

    Returns:
        The folder.

    Raises:
        InputError: when one of its files is there already; then nothing is written.
    """
    folder = Path(folder)
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
    starter = packaged("starter-bench")
    (folder / "formulas").mkdir(parents=True, exist_ok=True)
    for name in STARTER:
        text = starter.joinpath(name).read_text(encoding="utf-8")
        problem = write_atomically(folder / name, text)
        refuse_all(() if problem is None else (problem,))
    return folder
