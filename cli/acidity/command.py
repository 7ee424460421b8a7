"""``barwright acidity``: what pH a composition will have, and what would change it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import Bench, Composition
from ...constraints.values.problem import Problem, Problems, Where
from ..kit.loading import (
    BenchPath,
    Format,
    FormulaPath,
    Shown,
    bench_or_leave,
    formula_or_leave,
    leave,
)
from ..kit.patience import patience

if TYPE_CHECKING:
    from ...solver.calibration.teaching import Taught

USUAL_BARS = 100


def command(
    bench_path: BenchPath,
    formula_path: FormulaPath,
    *,
    aim: Annotated[
        float | None,
        typer.Option(
            metavar="PH", min=0, max=14, help="The pH to reach; else the middle of the brief's."
        ),
    ] = None,
    using: Annotated[
        str | None,
        typer.Option(metavar="MATERIAL", help="Draw the curve for this material of the shelf."),
    ] = None,
    bars: Annotated[
        int | None,
        typer.Option(metavar="N", min=1, help=f"Grams for N bars too; else for {USUAL_BARS}."),
    ] = None,
    readings: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Learn from readings of a material or of the bar."),
    ] = None,
    owing_to: Annotated[
        str | None,
        typer.Option(metavar="MATERIAL", help="Lay readings of the bar on this material in it."),
    ] = None,
    write: Annotated[
        bool,
        typer.Option("--write", help="Write what was learnt to the bench's materials.toml."),
    ] = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Predict the pH of FORMULA in water, say what it rests on and how much acid it takes."""
    from ...workshop.acid.answer import acidity

    bench = bench_or_leave(bench_path, shown)
    composition = formula_or_leave(formula_path, bench, shown)
    _fit_or_leave(bench, bars, readings, owing_to, write=write, shown=shown)
    taught = None if readings is None else _taught(bench, composition, readings, owing_to, shown)
    knowing = taught.bench if taught else bench
    curve_for = None if using is None else _on_shelf(knowing, using, shown)
    with patience("working out the pH"):
        answer = acidity(knowing, composition, aim, curve_for)
        before = acidity(bench, composition, aim).account.prediction if taught else None
    if taught and write:
        _write(taught, shown)
    many = bars or (USUAL_BARS if bench.brief.portioning.declared else None)
    if shown is Format.JSON:
        from ..kit.as_json import dumped
        from .as_json import acidity_form

        form = acidity_form(knowing, composition, answer, taught, before, written=write)
        typer.echo(dumped("acidity", form))
        return
    from .view import show_acidity

    show_acidity(knowing, composition, answer, many, learnt=taught is not None)
    if taught and before:
        from .learning import show_taught

        show_taught(taught, before, answer, written=write)


def _fit_or_leave(
    bench: Bench,
    bars: int | None,
    readings: Path | None,
    owing_to: str | None,
    *,
    write: bool,
    shown: Format,
) -> None:
    """Everything about the question that does not fit the bench, told at once."""
    dilution, declared = bench.brief.dilution, bench.brief.portioning.declared
    found: list[Problem] = []
    if not dilution < 1.0:
        where = Where("brief.toml", "product.dilution")
        found.append(Problem(where, f"{dilution:.0%}", "less than 100 %: a pH is read in water"))
    if bars is not None and declared is None:
        where = Where("brief.toml", "product")
        found.append(Problem(where, "no declared", 'the mass of a bar, such as declared = "60 g"'))
    if readings is None:
        without = [("--write", write), ("--owing-to", owing_to is not None)]
        found += [
            Problem(Where(option), "no --readings beside it", "readings to learn from")
            for option, given in without
            if given
        ]
    if found:
        leave(Problems(tuple(found)), shown)


def _taught(
    bench: Bench, composition: Composition, path: Path, owing_to: str | None, shown: Format
) -> "Taught":
    from ...constraints.bench.readings_reading import read_readings
    from ...solver.calibration.sampling import sample_of
    from ...solver.calibration.teaching import teach

    readings = read_readings(path, bench, composition)
    if isinstance(readings, Problems):
        leave(readings, shown)
    taught = teach(bench, composition, sample_of(readings, bench, composition), owing_to)
    return leave(taught, shown) if isinstance(taught, Problems) else taught


def _write(taught: "Taught", shown: Format) -> None:
    from ...constraints.bench.learning import write_lesson

    if taught.lesson is None:
        where = Where("--write")
        expected = "--owing-to and the material that the readings are laid on"
        leave(Problems((Problem(where, "readings of a whole bar", expected),)), shown)
    problem = write_lesson(taught.bench.folder, taught.lesson)
    if problem is not None:
        leave(Problems((problem,)), shown)


def _on_shelf(bench: Bench, name: str, shown: Format) -> str:
    from ...constraints.values.names import nearest_names, spelt
    from ...constraints.values.units import shown as fit

    names = [item.material.name for item in bench.shelf]
    found = spelt(name, names)
    if found is None:
        near = nearest_names(name, names)
        where = Where("--using")
        return leave(Problems((Problem(where, fit(name), "a material on the shelf", near),)), shown)
    return found
