"""``barwright replace``: the composition nearest to a formula that keeps every rule."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from ...constraints.values.problem import refuse
from ...constraints.values.units import Dimension
from ..change.asking import (
    Overwrite,
    PriceOf,
    because_of,
    prices_of,
    write_formulas,
)
from ..kit.answer import answered
from ..kit.exit import without_answer
from ..kit.opening import start_in
from ..kit.options import All, BenchPath, Format, Shown
from ..kit.patience import patience
from ..kit.portion import asked
from ..kit.time_limit import command_deadline

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.program.deadline import Deadline
    from ...workshop.changing.replacing import NoReplacement

Wanted = Annotated[
    list[str] | None,
    typer.Option("--with", metavar="MATERIAL", help="It may come in; may be given again."),
]


class Favour(StrEnum):
    """What comes first."""

    NEAR = "near"
    COST = "cost"


def command(
    bench_path: BenchPath,
    formula_paths: Annotated[
        list[Path],
        typer.Argument(
            metavar="FORMULA...",
            help="A formula; or several bars that share a base, changed alike.",
            show_default=False,
        ),
    ],
    *,
    without: Annotated[
        list[str] | None,
        typer.Option(
            "--without", metavar="MATERIAL", help="It may not be used; may be given again."
        ),
    ] = None,
    wanted: Wanted = None,
    avoid: Annotated[
        list[str] | None,
        typer.Option(
            "--avoid", metavar="NAME", help="Nothing of a substance, class or tag; again for more."
        ),
    ] = None,
    price: PriceOf = None,
    favour: Annotated[Favour, typer.Option("--favour", help="What comes first.")] = Favour.NEAR,
    nearly: Annotated[
        str | None,
        typer.Option(
            "--nearly",
            metavar="SHARE",
            help='Let so much of the bar differ more, to touch fewer materials. [default: "0.5 %"; '
            '"0 %" as near as can be]',
        ),
    ] = None,
    frontier: Annotated[
        bool, typer.Option("--frontier", help="Also show what closeness costs, corner by corner.")
    ] = False,
    look: Annotated[
        bool, typer.Option("--look", help="Also look in the catalogue for what comes nearer.")
    ] = False,
    write: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write the formula; for several bars, name a folder."),
    ] = None,
    overwrite: Overwrite = False,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Find the composition nearest to FORMULA that keeps every rule of BENCH.

    At most four materials change while the rules leave room for that, else it is said which rules
    force more; as few of them as a bar allows that is near by class, but for --nearly: acids first,
    nothing beyond advice or too little to weigh, what is dosed in small amounts last. With --nearly
    "0 %" near is all: by class, then by kind, by substance, touched, cost.
    """
    from ...constraints.bench.wish import Wish
    from ...solver.nearest.nearest import CHEAP, CLOSE
    from ...workshop.changing.replacing import NoReplacement, replaced, usual_nearly

    deadline = command_deadline()
    prices = prices_of(price or ())
    wish = Wish(tuple(without or ()), tuple(wanted or ()), tuple(avoid or ()), prices)
    start = start_in(bench_path, formula_paths, wish, shown)
    order = CLOSE if favour is Favour.NEAR else CHEAP
    said = asked(nearly, Dimension.SHARE, "--nearly", start.bench)
    usual = usual_nearly() if favour is Favour.NEAR else 0.0
    free = usual if said is None else said
    if len(formula_paths) > 1:
        from .family import replace_family

        _refuse_options({"--frontier": frontier, "--look": look})
        replace_family(
            start,
            formula_paths,
            order,
            write,
            shown,
            overwrite=overwrite,
            whole=everything,
            nearly=free,
            deadline=deadline,
        )
        return
    with patience("looking for what comes nearest"):
        answer = replaced(start, order, nearly=free, corners=frontier, look=look, deadline=deadline)
    if isinstance(answer, NoReplacement):
        _refuse(answer, shown, deadline, whole=everything or look)
    if write is not None:
        made = [(write, answer.near.composition, because_of(start))]
        write_formulas(made, formula_paths, overwrite=overwrite)
    from ..change.as_json import replacement_form
    from ..change.short import show_short_replacement
    from ..change.view import show_replacement

    def view(console: "Console", whole: bool) -> None:
        (show_replacement if whole else show_short_replacement)(console, answer)

    answered(
        "replace",
        shown,
        lambda: replacement_form(answer),
        view,
        whole=everything or frontier or look,
    )


def _refuse(
    answer: "NoReplacement", shown: Format, deadline: "Deadline", *, whole: bool
) -> NoReturn:
    """Say that nothing on the shelf can do, and what to look for; exit 3, or 5 or 1 if not sure."""
    from ..change.as_json import no_replacement_form
    from ..change.view import show_no_replacement

    answered(
        "replace",
        shown,
        lambda: no_replacement_form(answer, deadline),
        lambda console, whole: show_no_replacement(console, answer, deadline, whole=whole),
        whole=whole,
    )
    raise typer.Exit(without_answer(answer.refusal.outcome))


def _refuse_options(given: dict[str, bool]) -> None:
    """Options that make no sense for several bars at once."""
    wrong = [name for name, used in given.items() if used]
    if wrong:
        refuse("the command line", f"{', '.join(wrong)} with several formulas", "one formula")
