"""``barwright acidity``: what pH a composition will have, and what would change it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import MOST_BARS, Bench, Composition
from ...constraints.values.names import the_name
from ...constraints.values.problem import Problem, Where, refuse, refuse_all, sound
from ..kit.answer import answered
from ..kit.opening import bench_in
from ..kit.options import All, BenchPath, Format, FormulaPath, Shown, finite
from ..kit.patience import patience
from ..sureness.knowing import BookAsked
from ..sureness.knowing import knowing as knowing_lots

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.calibration.teaching import Taught

USUAL_BARS = 100


def command(
    bench_path: BenchPath,
    formula_path: FormulaPath,
    *,
    aim: Annotated[
        float | None,
        typer.Option(
            metavar="PH",
            min=0,
            max=14,
            callback=finite,
            help="The pH to reach; else the middle of the brief's.",
        ),
    ] = None,
    using: Annotated[
        str | None,
        typer.Option(metavar="MATERIAL", help="Draw the curve for this material of the shelf."),
    ] = None,
    bars: Annotated[
        int | None,
        typer.Option(
            metavar="N", min=1, max=MOST_BARS, help=f"Grams for N bars too; else for {USUAL_BARS}."
        ),
    ] = None,
    readings: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Learn from one reading or more of a material or of the bar."
        ),
    ] = None,
    book: BookAsked = None,
    owing_to: Annotated[
        str | None,
        typer.Option(metavar="MATERIAL", help="Lay readings of the bar on this material in it."),
    ] = None,
    reads: Annotated[
        float | None,
        typer.Option(metavar="PH", min=0, max=14, help="What a batch reads: say what to add."),
    ] = None,
    batch: Annotated[
        str | None,
        typer.Option(metavar="MASS", help='The mass of that batch, such as "750 g".'),
    ] = None,
    write: Annotated[
        bool,
        typer.Option("--write", help="Write what was learnt to the bench's materials.toml."),
    ] = False,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Predict the pH of FORMULA in water, say what it rests on and how much acid it takes."""
    from ...constraints.bench.opening import read_formula
    from ...workshop.acid.answer import acidity

    bench = bench_in(bench_path, shown)
    composition = read_formula(formula_path, bench)
    refuse_all(_misfits(bench, bars, readings, owing_to, write=write))
    if reads is not None:
        from .reading import answer_reading

        answer_reading(bench, composition, reads, batch=batch, using=using, shown=shown)
        return
    if batch is not None:
        refuse("--batch", "no --reads beside it", "--reads and the pH that the batch reads")
    taught = None if readings is None else _taught(bench, composition, readings, owing_to)
    read = None if book is None else knowing_lots(taught.bench if taught else bench, (), book)
    knowing = read.bench if read else taught.bench if taught else bench
    curve_for = None if using is None else _on_shelf(knowing, using)
    with patience("working out the pH"):
        answer = acidity(knowing, composition, aim, curve_for)
        before = acidity(bench, composition, aim).account.prediction if taught else None
    if taught and write:
        _write(taught)
    many = bars or (USUAL_BARS if bench.brief.portioning.declared else None)
    from .as_json import acidity_form
    from .short import show_short_acidity
    from .view import show_acidity

    def view(console: "Console", whole: bool) -> None:
        show = show_acidity if whole else show_short_acidity
        show(console, knowing, composition, answer, many, learnt=taught is not None, read=read)
        if taught and before:
            from .learning import show_taught

            show_taught(console, taught, before, answer, written=write)

    answered(
        "acidity",
        shown,
        lambda: acidity_form(
            knowing, composition, answer, taught, before, written=write, read=read
        ),
        view,
        whole=everything,
    )


def _misfits(
    bench: Bench,
    bars: int | None,
    readings: Path | None,
    owing_to: str | None,
    *,
    write: bool,
) -> list[Problem]:
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
    return found


def _taught(bench: Bench, composition: Composition, path: Path, owing_to: str | None) -> "Taught":
    from ...constraints.bench.opening import read_readings
    from ...solver.calibration.sampling import sample_of
    from ...solver.calibration.teaching import teach

    readings = read_readings(path, bench, composition)
    return sound(teach(bench, composition, sample_of(readings, bench, composition), owing_to))


def _write(taught: "Taught") -> None:
    from ...constraints.bench.learning import write_lesson

    if taught.lesson is None:
        expected = "--owing-to and the material that the readings are laid on"
        refuse("--write", "readings of a whole bar", expected)
    problem = write_lesson(taught.bench.folder, taught.lesson)
    refuse_all(() if problem is None else (problem,))


def _on_shelf(bench: Bench, name: str) -> str:
    names = (item.material.name for item in bench.shelf)
    return the_name(Where("--using"), name, names, "a material on the shelf")
