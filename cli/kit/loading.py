"""What every command begins with: files read, or their problems told and the door shut."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated, NoReturn

import typer

from ...constraints.model.brief import Bench, Composition
from ...constraints.values.problem import Problems
from .exit import Exit
from .screen import complain
from .words import problem_lines, problems_count


class Format(StrEnum):
    """How a finding is shown."""

    TABLE = "table"
    JSON = "json"


BenchPath = Annotated[
    Path, typer.Argument(metavar="BENCH", help="The bench: a folder.", show_default=False)
]
FormulaPath = Annotated[
    Path,
    typer.Argument(metavar="FORMULA", help="A formula file, .toml or .csv.", show_default=False),
]
Shown = Annotated[Format, typer.Option("--format", help="How to show the finding.")]


def bench_or_leave(folder: Path, shown: Format) -> Bench:
    """The bench in a folder; with problems, tell them all and exit 2."""
    from ...constraints.bench.reading import read_bench

    bench = read_bench(folder)
    return leave(bench, shown) if isinstance(bench, Problems) else bench


def formula_or_leave(path: Path, bench: Bench, shown: Format) -> Composition:
    """The composition in a formula file; with problems, tell them all and exit 2."""
    from ...constraints.bench.reading import read_formula

    composition = read_formula(path, bench)
    return leave(composition, shown) if isinstance(composition, Problems) else composition


def leave(problems: Problems, shown: Format = Format.TABLE) -> NoReturn:
    """Tell every problem and exit 2."""
    if shown is Format.JSON:
        from .as_json import dumped, problems_form

        complain([dumped("problems", {"problems": problems_form(problems)})])
    else:
        for problem in problems.items:
            complain([*problem_lines(problem), ""])
        complain([problems_count(problems)])
    raise typer.Exit(Exit.BAD_INPUT)
