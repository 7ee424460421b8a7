"""What the commands share that change a formula: options, reading, writing back with a note."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.problem import Problem, Problems, Where
from ..kit.loading import Format, leave

if TYPE_CHECKING:
    from ...constraints.bench.changing import Start, Wish
    from ...constraints.model.brief import Composition

PriceOf = Annotated[
    list[str] | None,
    typer.Option(
        "--price",
        metavar="MATERIAL=PRICE",
        help='A price for what is not on the shelf, such as "NAME=36.50 EUR/kg".',
    ),
]
Overwrite = Annotated[
    bool, typer.Option("--overwrite", help="Let --write replace a file that is there.")
]


def start_or_leave(folder: Path, formulas: Iterable[Path], wish: "Wish", shown: Format) -> "Start":
    """The bench and the formulas to change; with problems, tell them all and exit 2."""
    from ...constraints.bench.changing import read_start

    start = read_start(folder, formulas, wish)
    return leave(start, shown) if isinstance(start, Problems) else start


def prices_of(written: Sequence[str], shown: Format) -> dict[str, str]:
    """Prices as "MATERIAL=PRICE" by material."""
    parted = [text.rpartition("=") for text in written]
    wrong = [text for (name, _, _), text in zip(parted, written, strict=True) if not name.strip()]
    if wrong:
        expected = 'MATERIAL=PRICE, such as "NAME=36.50 EUR/kg"'
        leave(Problems(tuple(Problem(Where("--price"), text, expected) for text in wrong)), shown)
    return {name.strip(): price.strip() for name, _, price in parted}


def write_or_leave(
    formulas: Sequence[tuple[Path, "Composition", str]],
    sources: Sequence[Path],
    shown: Format,
    *,
    overwrite: bool,
) -> None:
    """Write each formula with what it came from and why; with problems, tell them and exit 2.

    Nothing is written where one of the files is there already and may not be replaced.
    """
    from ...constraints.bench.writing import formula_text, write_atomically

    taken = [path for path, _, _ in formulas if path.exists() and not overwrite]
    problems = [
        Problem(Where(str(path)), "a file that is there already", "another name, or --overwrite")
        for path in taken
    ]
    for (path, composition, because), source in zip(formulas, sources, strict=True):
        text = formula_text(composition, because=because, source=str(source))
        problem = None if problems else write_atomically(path, text, replace=overwrite)
        if problem is not None:
            problems.append(problem)
    if problems:
        leave(Problems(tuple(problems)), shown)


def folder_or_leave(folder: Path, shown: Format) -> Path:
    """A folder to write to, made where it is not there; with a problem, tell it and exit 2."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        found = error.strerror or str(error)
        leave(Problems((Problem(Where(str(folder)), found, "a folder to write to"),)), shown)
    return folder


def because_of(start: "Start") -> str:
    """Why a formula was changed, for the file that it is written to."""
    asked_for = [*start.ruled_out, *(f"with {name}" for name in start.wanted)]
    return "; ".join([*asked_for, "the nearest that keeps every rule"])
