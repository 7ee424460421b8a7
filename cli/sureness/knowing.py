"""What was read of bars and materials, as a command is told of it, and what it leaves possible."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import Bench, Composition
from ...constraints.values.problem import Problems, refuse, sound

if TYPE_CHECKING:
    from ...constraints.acidity.cuts import Taken
    from ...solver.uncertain.informing import Informed

ReadingsAsked = Annotated[
    list[Path] | None,
    typer.Option(
        "--readings",
        metavar="FILE",
        help="Let readings of a bar or a material narrow what its lots may be.",
    ),
]
BookAsked = Annotated[
    Path | None,
    typer.Option("--book", metavar="WORKSHOP", help="Let the pH of past batches do so too."),
]

FORMULAS = "formulas"


def knowing(bench: Bench, readings: Sequence[Path], book: Path | None) -> "Informed":
    """The bench and the set of lots as readings leave them.

    Readings of a material give its range; those of a bar tie its materials together.

    Raises:
        InputError: when a file cannot be read, or readings contradict each other or what is known.
    """
    from ...solver.uncertain.informing import Informed
    from ...solver.uncertain.sure import what_may_come

    if not readings and book is None:
        return Informed(bench, what_may_come(bench), (), ())
    from ...constraints.bench.readings_reading import read_readings_of
    from ...solver.calibration.sampling import sample_of
    from ...solver.calibration.teaching import teach
    from ...solver.uncertain.informing import informed, taken_of

    formulas = _formulas(bench) if readings else {}
    taken: list[Taken] = []
    for path in readings:
        read = sound(read_readings_of(path, bench, tuple(formulas)))
        bar = formulas.get(read.of, Composition("", {}))
        sample = sample_of(read, bench, bar)
        if sample.bar:
            taken += taken_of(sample)
        else:
            bench = sound(teach(bench, bar, sample)).bench
    if book is not None:
        taken += _of_book(bench, book)
    return sound(informed(bench, taken, what_may_come(bench)))


def _formulas(bench: Bench) -> dict[str, Composition]:
    """The formulas that stand in the folder of a bench, by name."""
    from ...constraints.bench.reading import read_formula

    folder = Path(bench.folder) / FORMULAS
    files = sorted(folder.iterdir()) if folder.is_dir() else []
    read = [
        read_formula(path, bench) for path in files if path.suffix in {".toml", ".csv", ".xlsx"}
    ]
    return {one.name: one for one in read if not isinstance(one, Problems)}


def _of_book(bench: Bench, book: Path) -> "tuple[Taken, ...]":
    from ...constraints.bench.book_keeping import read_book
    from ...workshop.book.readings import readings_of_book

    found = readings_of_book(read_book(book), bench, Path(bench.folder).resolve().name)
    if not found:
        expected = "a closed batch of this bench with ph, made from a lot that stands on the shelf"
        refuse("--book", "no reading that binds a lot which is there", expected)
    return found
