"""``barwright runout``: use up an old material, so that nothing is thrown away."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from ...constraints.model.brief import MOST_BARS
from ...constraints.values.problem import Problem, Where, refuse, refuse_all
from ...constraints.values.units import Dimension
from ..change.asking import (
    Overwrite,
    PriceOf,
    prices_of,
    write_formulas,
)
from ..kit.answer import answered
from ..kit.exit import Exit, without_answer
from ..kit.opening import start_in
from ..kit.options import All, BenchPath, Format, FormulaPath, Shown
from ..kit.patience import patience
from ..kit.portion import FillAsked, Market, Weighings, asked, portion
from ..kit.time_limit import command_deadline
from ..kit.writing import folder_made

if TYPE_CHECKING:
    from ...constraints.bench.wish import Start
    from ...solver.cheapest.cheapest import Refusal
    from ...workshop.changing.runout import Runout


def command(
    bench_path: BenchPath,
    formula_path: FormulaPath,
    *,
    old: Annotated[
        str, typer.Option("--old", metavar="MATERIAL", help="What runs out.", show_default=False)
    ],
    new: Annotated[
        list[str] | None,
        typer.Option("--new", metavar="MATERIAL", help="What comes after it; again for more."),
    ] = None,
    batch: Annotated[
        str | None,
        typer.Option("--batch", metavar="MASS", help='Mix in a batch, such as "5 kg".'),
    ] = None,
    bars: Annotated[
        int | None,
        typer.Option("--bars", metavar="N", min=1, max=MOST_BARS, help="Bars in a batch instead."),
    ] = None,
    fill: FillAsked = None,
    market: Market = None,
    weighings: Weighings = None,
    stock: Annotated[
        str | None,
        typer.Option("--stock", metavar="MASS", help="What is left of it; else as the shelf says."),
    ] = None,
    price: PriceOf = None,
    write: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Write the formulas of the mixed batch and after it."),
    ] = None,
    overwrite: Overwrite = False,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Use up an old material: whole batches as today, one with the rest of it, then the switch.

    Both changed formulas are the nearest that keep every rule of BENCH, by what the bar contains.
    """
    from ...constraints.bench.wish import Wish
    from ...solver.cheapest.cheapest import Refusal
    from ...workshop.changing.runout import run_out

    deadline = command_deadline()
    wish = Wish((old,), tuple(new or ()), (), prices_of(price or ()))
    start = start_in(bench_path, (formula_path,), wish, shown)
    pressed = _Pressed(bars, fill, market, weighings)
    name, stocked, mix = _asked(start, stock, batch, pressed)
    with patience("planning how it is used up"):
        plan = run_out(start.bench, start.formulas[0], name, stocked, mix, deadline=deadline)
    found = [one for one in (plan.mixed, plan.after) if one is not None]
    refused = [one for one in found if isinstance(one, Refusal)]
    if write is not None and not refused:
        _write(start, plan, formula_path, write, overwrite=overwrite)
    from .as_json import runout_form
    from .short import show_short_runout
    from .view import show_runout

    answered(
        "runout",
        shown,
        lambda: runout_form(start, plan),
        lambda console, whole: (show_runout if whole else show_short_runout)(console, start, plan),
        whole=everything,
    )
    if refused:
        _leave_without(refused)


@dataclass(frozen=True, slots=True)
class _Pressed:
    """How many bars, and what was asked of each."""

    bars: int | None
    fill: str | None
    market: str | None
    weighings: str | None


def _asked(
    start: "Start", stock: str | None, batch: str | None, pressed: _Pressed
) -> tuple[str, float, float]:
    """The material that runs out, its stock and the mix in a batch [kg]."""
    bench, (name,) = start.bench, start.without
    here = Where("the command line")
    problems = []
    if not start.formulas[0].parts.get(name):
        problems.append(Problem(here, f"{name} is not in the formula", "a material of the formula"))
    stocked = asked(stock, Dimension.MASS, "--stock", bench)
    if stocked is None:
        stocked = bench.item(name).stock
    if stocked is None:
        where = bench.item(name).where
        problems.append(Problem(where, f"no stock of {name}", 'a stock, or --stock "1.3 kg"'))
    mix = asked(batch, Dimension.MASS, "--batch", bench)
    if not mix and pressed.bars is None:
        problems.append(Problem(here, "no size of a batch", '--batch "5 kg", or --bars N'))
    refuse_all(problems)
    return name, stocked or 0.0, mix or _mix(start, pressed)


def _mix(start: "Start", pressed: _Pressed) -> float:
    """The mix that ``batch`` weighs for these bars [kg]."""
    from ...workshop.fill.size import batch_mass

    bars = pressed.bars or 1
    each, _ = portion(
        start.bench, bars, mass=pressed.fill, market=pressed.market, weighings=pressed.weighings
    )
    if each <= 0:
        refuse("--fill", "a bar of nothing", "a mass such as 62 g")
    return batch_mass(start.bench, start.formulas[0], bars, each)


def _write(start: "Start", plan: "Runout", source: Path, folder: Path, *, overwrite: bool) -> None:
    from ...solver.nearest.nearest import Near

    whys = {
        "mixed-batch": f"one batch that takes the last {plan.rest:.4f} kg of {plan.old}",
        "after-runout": f"without {plan.old}; the nearest that keeps every rule",
    }
    folder_made(folder)
    made = [
        (folder / f"{name}.toml", found.composition, why)
        for (name, why), found in zip(whys.items(), (plan.mixed, plan.after), strict=True)
        if isinstance(found, Near)
    ]
    write_formulas(made, [source] * len(made), overwrite=overwrite)


def _leave_without(refused: "list[Refusal]") -> NoReturn:
    codes = {without_answer(one.outcome) for one in refused}
    unsure = codes - {Exit.NO_COMPOSITION}
    raise typer.Exit(min(unsure, default=Exit.NO_COMPOSITION))
