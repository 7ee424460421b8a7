"""Bars that share a base, changed alike: the face of ``replace`` with several formulas."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

from ...constraints.values.problem import Problem, Where, refuse_all
from ...solver.nearest.distance import Stage
from ...solver.nearest.family import MOST_BARS, Family, NoBase, family, shared_by
from ...solver.program.deadline import NEVER, Deadline
from ..change.asking import because_of, write_formulas
from ..kit.answer import answered
from ..kit.exit import without_answer
from ..kit.options import Format
from ..kit.patience import patience
from ..kit.screen import paragraph
from ..kit.writing import folder_made
from ..refusal.words import refused
from .family_as_json import family_form
from .family_short import show_short_family
from .family_view import named, show_family

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.bench.wish import Start


def replace_family(
    start: "Start",
    paths: Sequence[Path],
    order: Sequence[Stage],
    write: Path | None,
    shown: Format,
    *,
    overwrite: bool,
    whole: bool,
    nearly: float = 0.0,
    deadline: Deadline = NEVER,
) -> None:
    """Change several bars alike, show and write them; exit 3 where one cannot be made."""
    refuse_all(_misfits(start, paths, written=write is not None))
    with patience("looking for one change that does for all"):
        found = family(
            start.bench, start.formulas, order, start.wanted, nearly=nearly, deadline=deadline
        )
    if isinstance(found, NoBase):
        _show_no_base(start, found, shown)
    if write is not None:
        _write(start, found, paths, write, overwrite=overwrite)

    def view(console: "Console", whole: bool) -> None:
        (show_family if whole else show_short_family)(console, start, found)

    answered(
        "replace",
        shown,
        lambda: family_form(start, found),
        view,
        whole=whole,
    )


def _misfits(start: "Start", paths: Sequence[Path], *, written: bool) -> list[Problem]:
    """Bars that cannot be changed together, told as problems."""
    shared = shared_by(start.formulas)
    here = Where("the command line")
    problems = []
    if len(paths) > MOST_BARS:
        problems.append(Problem(here, f"{len(paths)} formulas", f"{MOST_BARS} at most"))
    if written and len({path.stem for path in paths}) < len(paths):
        found = "formulas of one file name, to be written to one folder"
        problems.append(Problem(here, found, "a file name for each"))
    if not shared:
        problems.append(Problem(here, "formulas that share no material", "bars with one base"))
    for name in start.without:
        some = any(name in formula.parts for formula in start.formulas)
        if some and name not in shared:
            found = f"{name}, which only some of the bars have"
            problems.append(Problem(here, found, "these bars changed one by one"))
    return problems


def _show_no_base(start: "Start", found: NoBase, shown: Format) -> NoReturn:
    from ...solver.program.outcome import Infeasible

    sure = isinstance(found.refusal.outcome, Infeasible)
    name = named(start, found.bar)
    status = type(found.refusal.outcome).__name__.lower()
    said = (
        f"{name}: no change of what the bars share keeps every rule, even for it alone. "
        "Replace it by itself to see why, and what to look for."
        if sure
        else refused(name, found.refusal.outcome)
    )
    answered(
        "replace",
        shown,
        lambda: {"product": start.bench.brief.name, "status": status, "formula": name},
        lambda console, _: paragraph(console, said),
    )
    raise typer.Exit(without_answer(found.refusal.outcome))


def _write(
    start: "Start",
    found: Family,
    paths: Sequence[Path],
    folder: Path,
    *,
    overwrite: bool,
) -> None:
    """Each changed bar under its own file name in a folder."""
    folder_made(folder)
    made, sources = [], []
    for base in found.bases:
        for place, bar in zip(base.places, base.bars, strict=True):
            target = (folder / paths[place].name).with_suffix(".toml")
            made.append((target, bar.composition, because_of(start)))
            sources.append(paths[place])
    write_formulas(made, sources, overwrite=overwrite)
