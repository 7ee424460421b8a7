"""``barwright plan``: what to buy for the bars that are wanted, and what to make in which order."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.problem import InputError, Problems, refuse
from ...constraints.values.units import Dimension
from ..kit.answer import answered
from ..kit.exit import Exit, without_answer
from ..kit.options import All, Format, LinesToo, day_asked
from ..kit.patience import patience
from ..kit.portion import asked
from ..kit.screen import complain
from ..kit.time_limit import command_deadline

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.model.brief import Bench
    from ...constraints.model.wanted import PriceFrom
    from ...workshop.plan.needs import NoPlan, Plan


def command(
    wanted_path: Annotated[
        Path,
        typer.Argument(
            metavar="WANTED",
            help="A sheet of bars wanted: columns formula, bars, week, fill.",
            show_default=False,
        ),
    ],
    *,
    free: Annotated[
        str | None,
        typer.Option(
            metavar="SHARE",
            help='Let so much of a bar be other substances where that saves: "3 %".',
        ),
    ] = None,
    prices: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Prices that change: material, week, price, supplier, pack."
        ),
    ] = None,
    first_day: Annotated[
        str | None,
        typer.Option("--from", metavar="DAY", help="The first day of week 1; else today."),
    ] = None,
    leftover_worth: Annotated[
        str | None,
        typer.Option(metavar="SHARE", help="What is left counts for so much of its price."),
    ] = None,
    storage: Annotated[
        str | None,
        typer.Option(metavar="PRICE", help='To keep a kilogram for a week: "0.02 EUR/kg".'),
    ] = None,
    gap: Annotated[
        str, typer.Option(metavar="SHARE", help="Stop once no plan can cost less by more.")
    ] = "1 %",
    write: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Write formulas that were free to move."),
    ] = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Let --write and --sheets replace files.")
    ] = False,
    sheet_folder: Annotated[
        Path | None,
        typer.Option("--sheets", metavar="FOLDER", help="Write the sheet of every batch there."),
    ] = None,
    everything: All = False,
    shown: Annotated[
        LinesToo, typer.Option("--format", help="How to show the plan.")
    ] = LinesToo.TABLE,
) -> int:
    """Plan the bars in WANTED: orders in whole packs at the least outlay, batches in order."""
    from ...constraints.bench.opening import read_prices, read_wanted
    from ...workshop.plan.asking import Terms
    from ...workshop.plan.needs import Plan
    from ...workshop.plan.plan import plan

    deadline = command_deadline()
    wanted = read_wanted(wanted_path)
    benches = tuple({one.bench.folder: one.bench for one in wanted}.values())
    first = benches[0]
    workshop = first.brief.workshop
    changes: tuple[PriceFrom, ...] = () if prices is None else read_prices(prices, benches)
    likeness = asked(free, Dimension.SHARE, "--free", first)
    worth = asked(leftover_worth, Dimension.SHARE, "--leftover-worth", first)
    kept = asked(storage, Dimension.PRICE, "--storage", first)
    terms = Terms(
        first_day=day_asked("--from", first_day),
        likeness=likeness,
        worth=(workshop.leftover_worth or 0.0) if worth is None else worth,
        storage=(workshop.storage or 0.0) if kept is None else kept,
        prices=changes,
        gap=asked(gap, Dimension.SHARE, "--gap", first) or 0.0,
    )
    with patience("looking for what to buy"):
        found = plan(wanted, terms, deadline=deadline)
    if isinstance(found, Problems):
        raise InputError(found)
    if not isinstance(found, Plan):
        return _no_plan(first, found, shown)
    if write is not None:
        _write(found, write, overwrite=overwrite)
    unwritten = () if sheet_folder is None else _sheets(found, sheet_folder, overwrite=overwrite)
    _show(first, found, shown, whole=everything)
    if unwritten:
        complain(unwritten)
    return Exit.DONE


def _show(bench: "Bench", found: "Plan", shown: LinesToo, *, whole: bool) -> None:
    from .as_json import plan_csv, plan_form

    def view(console: "Console", whole: bool) -> None:
        from .short import show_short_plan
        from .view import show_plan

        (show_plan if whole else show_short_plan)(console, bench, found)

    answered(
        "plan",
        shown,
        lambda: plan_form(bench, found),
        view,
        whole=whole,
        lines=lambda: plan_csv(bench, found),
    )


def _no_plan(bench: "Bench", found: "NoPlan", shown: LinesToo) -> int:
    """Say that there is no plan; exit 3, or 5 where the time ran out before it was sure."""
    from .as_json import no_plan_form
    from .view import show_no_plan

    answered(
        "plan",
        Format.TABLE if shown is LinesToo.TABLE else Format.JSON,  # there are no lines of nothing
        lambda: no_plan_form(found),
        lambda console, _: show_no_plan(console, bench, found),
    )
    return without_answer(found.why)


def _write(found: "Plan", folder: Path, *, overwrite: bool) -> None:
    """Every composition under the name of its bench and formula."""
    from ...constraints.bench.writing import formula_text
    from ..kit.writing import folder_made, put_all

    because = "chosen together with the packs to buy"
    files = tuple(
        (
            folder / f"{Path(bar.bench.folder).name}-{_file_name(bar.formula.name)}.toml",
            formula_text(bar.composition, because=because, source=bar.formula.name),
        )
        for bar in found.bars
    )
    if len({path for path, _ in files}) < len(files):
        refuse("--write", "two formulas of one name", "a name for each formula")
    folder_made(folder)
    put_all(files, overwrite=overwrite)


def _sheets(found: "Plan", folder: Path, *, overwrite: bool) -> tuple[str, ...]:
    """The sheet of every batch, to print; what is said of those that cannot be weighed out."""
    from ...workshop.batch.lines import Batch
    from ...workshop.plan.sheets import sheets
    from ..kit.writing import folder_made, put_all
    from ..sheet.page import sheet_html

    files, unwritten = [], []
    with patience("weighing out every batch"):
        for number, (one, made) in enumerate(sheets(found), start=1):
            name = f"{number:02}-week-{one.week}-{_file_name(one.composition.name)}.html"
            if isinstance(made, Batch):
                files.append((folder / name, sheet_html(one.bench, made, None)))
            else:
                why = ", ".join(reason.why for reason in made.reasons)
                unwritten.append(f"no sheet {name}: {why}; barwright batch says more.")
    folder_made(folder)
    put_all(tuple(files), overwrite=overwrite)
    return tuple(unwritten)


def _file_name(name: str) -> str:
    """A name of letters, digits and dashes."""
    plain = "".join(sign if sign.isalnum() else "-" for sign in name.casefold())
    return "-".join(filter(None, plain.split("-")))
