"""Bars that share a base, changed alike: the face of ``replace`` with several formulas."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import typer

from ...constraints.values.problem import Problem, Problems, Where
from ...solver.nearest.distance import TOUCHED, Stage
from ...solver.nearest.family import MOST_BARS, Family, NoBase, family, shared_by
from ...solver.nearest.nearest import touched
from ..change.asking import because_of, folder_or_leave, write_or_leave
from ..change.words import CAUTION, listed, points
from ..kit.exit import Exit
from ..kit.loading import Format, leave
from ..kit.numbers import money, share
from ..kit.patience import patience
from ..kit.screen import heading, paragraph, stdout, table

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.bench.changing import Start
    from ...solver.nearest.family import Base


def replace_family(
    start: "Start",
    paths: Sequence[Path],
    order: Sequence[Stage],
    write: Path | None,
    shown: Format,
    *,
    overwrite: bool,
) -> None:
    """Change several bars alike, show and write them; exit 3 where one of them cannot be made."""
    _refuse(start, paths, shown, written=write is not None)
    with patience("looking for one change that does for all"):
        found = family(start.bench, start.formulas, order, start.wanted)
    if isinstance(found, NoBase):
        _show_no_base(start, found, shown)
    if write is not None:
        _write(start, found, paths, write, shown, overwrite=overwrite)
    if shown is Format.JSON:
        from ..kit.as_json import dumped

        typer.echo(dumped("replace", family_form(start, found)))
        return
    show_family(stdout(), start, found)


def _refuse(start: "Start", paths: Sequence[Path], shown: Format, *, written: bool) -> None:
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
    if problems:
        leave(Problems(tuple(problems)), shown)


def show_family(console: "Console", start: "Start", found: Family) -> None:
    """One change for all, or the fewest; then every bar."""
    bench = start.bench
    alike = len(found.bases) == 1
    paragraph(console, f"{bench.brief.name}: {len(start.formulas)} bars on one base")
    paragraph(
        console,
        "One change does for all of them."
        if alike
        else f"No one change does for all of them; {len(found.bases)} do, the cheapest so parted.",
    )
    for base in found.bases:
        _show_base(console, start, base)
    heading(console, "The bars")
    made = table("bar", "by class", "by subst.", "before", "after", right=(1, 2, 3, 4))
    for base in found.bases:
        for place, bar in zip(base.places, base.bars, strict=True):
            formula = start.formulas[place]
            known = not start.unpriced & formula.parts.keys()
            before = f"{_cost(start, place):.3f}" if known else "not known"
            apart = (share(bar.changed[stage]) for stage in (Stage.CLASS, Stage.SUBSTANCE))
            made.add_row(_name(start, place), *apart, before, f"{bar.cost:.3f}")
    console.print(made)
    together, alone = _mean(found.bases), _mean(found.apart)
    paragraph(
        console,
        f"Before and after are {bench.brief.currency}/kg. On the mean the bars cost "
        f"{money(together, bench.brief.currency)}; each changed by itself, "
        f"{money(alone, bench.brief.currency)}.",
    )
    paragraph(console, CAUTION)


def _show_base(console: "Console", start: "Start", base: "Base") -> None:
    names = listed(_name(start, place) for place in base.places)
    heading(console, f"The change for {names}")
    first, after = start.formulas[base.places[0]], base.bars[0].composition
    made = table("material", "before", "after", "change", right=(1, 2, 3))
    for name in touched(start.bench, first, after):
        before, now = first.parts.get(name, 0.0), after.parts.get(name, 0.0)
        made.add_row(name, share(before), share(now), points(now - before))
    console.print(made)
    for place, scale in zip(base.places, base.scales, strict=True):
        if abs(scale - 1.0) > TOUCHED:
            paragraph(console, f"{_name(start, place)} takes {scale:.4g} times as much of it.")


def _name(start: "Start", place: int) -> str:
    """A bar's name; with its number where another has the same."""
    names = [formula.name for formula in start.formulas]
    own = names[place]
    return own if names.count(own) == 1 else f"{own} ({place + 1})"


def _cost(start: "Start", place: int) -> float:

    return start.bench.cost_of(start.formulas[place])


def _mean(bases: Sequence["Base"]) -> float:
    costs = [bar.cost for base in bases for bar in base.bars]
    return sum(costs) / len(costs)


def family_form(start: "Start", found: Family) -> dict[str, Any]:
    """The answer as JSON: every base with its bars, in the order of the formulas."""
    from ..change.as_json import near_form
    from ..kit.as_json import units

    def forms(bases: Sequence["Base"]) -> list[dict[str, Any]]:
        return [
            {
                "bars": [
                    {
                        "formula": start.formulas[place].name,
                        "place": place,
                        "scale": scale,
                        **near_form(start.bench, bar),
                    }
                    for place, scale, bar in zip(base.places, base.scales, base.bars, strict=True)
                ]
            }
            for base in bases
        ]

    return {
        "product": start.bench.brief.name,
        "status": "nearest",
        "units": units(start.bench),
        "shared": list(found.shared),
        "changes": forms(found.bases),
        "each_by_itself": forms(found.apart),
    }


def _show_no_base(start: "Start", found: NoBase, shown: Format) -> NoReturn:
    from ...solver.program.outcome import Infeasible

    name = _name(start, found.bar)
    if shown is Format.JSON:
        from ..kit.as_json import dumped

        status = type(found.refusal.outcome).__name__.lower()
        form = {"product": start.bench.brief.name, "status": status, "formula": name}
        typer.echo(dumped("replace", form))
    else:
        paragraph(
            stdout(),
            f"{name}: no change of what the bars share keeps every rule, even for it alone. "
            "Replace it by itself to see why, and what to look for.",
        )
    sure = isinstance(found.refusal.outcome, Infeasible)
    raise typer.Exit(Exit.NO_COMPOSITION if sure else Exit.OUR_FAILURE)


def _write(
    start: "Start",
    found: Family,
    paths: Sequence[Path],
    folder: Path,
    shown: Format,
    *,
    overwrite: bool,
) -> None:
    """Each changed bar under its own file name in a folder."""
    folder_or_leave(folder, shown)
    made, sources = [], []
    for base in found.bases:
        for place, bar in zip(base.places, base.bars, strict=True):
            target = (folder / paths[place].name).with_suffix(".toml")
            made.append((target, bar.composition, because_of(start)))
            sources.append(paths[place])
    write_or_leave(made, sources, shown, overwrite=overwrite)
