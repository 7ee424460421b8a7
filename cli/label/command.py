"""``barwright label``: what goes on the box."""

from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.box import Box
from ...constraints.values.problem import refuse
from ...constraints.values.units import Dimension
from ..kit.answer import answered
from ..kit.opening import bench_in
from ..kit.options import All, BenchPath, Format, FormulaPath, Shown, day_asked
from ..kit.portion import Market, asked, markets_of

if TYPE_CHECKING:
    from rich.console import Console


def command(
    bench_path: BenchPath,
    formula_path: FormulaPath,
    *,
    market: Market = None,
    mix: Annotated[
        str | None,
        typer.Option(
            "--mix",
            metavar="MASS",
            help='Mass of a batch, such as "750 g": shows which order hangs on a scale step.',
        ),
    ] = None,
    batch: Annotated[
        str | None,
        typer.Option("--batch", metavar="CODE", help="Batch code on the box."),
    ] = None,
    made: Annotated[
        str | None,
        typer.Option(
            "--made",
            metavar="DATE",
            help='Day of making, such as 2026-11-25: with "keeps" in the brief it dates the box.',
        ),
    ] = None,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Write the ingredient list of FORMULA and the rest of the box, for each market of BENCH."""
    from ...constraints.bench.opening import read_formula
    from ...constraints.market.labelling import markets_with_labelling
    from ...workshop.label.every_market import labels

    bench = bench_in(bench_path, shown)
    composition = read_formula(formula_path, bench)
    mass = asked(mix, Dimension.MASS, "--mix", bench)
    markets = markets_of(bench, market, markets_with_labelling())
    box = _box(bench.brief.box, batch, made)
    found = labels(bench, composition, markets=markets, mix=mass, box=box)
    from .as_json import labels_form
    from .short import show_short_label
    from .view import show_label

    def view(console: "Console", whole: bool) -> None:
        if not whole:
            show_short_label(console, bench, composition, found.labels, found.broken)
            return
        for one in found.labels:
            show_label(console, bench, composition, one, found.broken)

    answered(
        "label",
        shown,
        lambda: labels_form(bench, composition, found.labels, found.broken),
        view,
        whole=everything,
    )


def _box(box: Box, batch: str | None, made: str | None) -> Box:
    """What the brief says of the pack, with what was asked for this batch."""
    from ...workshop.label.particulars import boxed

    if made is None:
        return boxed(box, batch)
    day = day_asked("--made", made, "a day as 2026-11-25")
    if box.keeps is None:
        refuse("--made", made, 'how long it keeps under [box], such as keeps = "24 months"')
    return boxed(box, batch, day)
