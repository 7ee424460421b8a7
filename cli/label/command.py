"""``barwright label``: what goes on the box."""

from typing import Annotated

import typer

from ...constraints.values.problem import Problems
from ...constraints.values.units import Dimension
from ..kit.loading import (
    BenchPath,
    Format,
    FormulaPath,
    Shown,
    bench_or_leave,
    formula_or_leave,
    leave,
)
from ..kit.portion import Market, asked, markets_or_leave


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
    shown: Shown = Format.TABLE,
) -> None:
    """Write the ingredient list of FORMULA and the rest of the box, for each market of BENCH."""
    from ...constraints.market.labelling import markets_with_labelling
    from ...constraints.rules.verdict import judge
    from ...workshop.label.label import Label, label

    bench = bench_or_leave(bench_path, shown)
    composition = formula_or_leave(formula_path, bench, shown)
    mass = asked(mix, Dimension.MASS, "--mix", bench, shown)
    markets = markets_or_leave(bench, market, markets_with_labelling(), shown)
    labels: list[Label] = []
    for one in markets:
        made = label(bench, composition, one, mix=mass)
        if isinstance(made, Problems):
            leave(made, shown)
        labels.append(made)
    broken = tuple(verdict for verdict in judge(bench, composition) if not verdict.kept)
    from .view import label_form, show_label

    if shown is Format.JSON:
        from ..kit.as_json import dumped

        form = {
            "product": bench.brief.name,
            "formula": composition.name,
            "units": {"share": "kg per kg of mix as weighed"},
            "rules_broken": [verdict.rule.id for verdict in broken],
            "labels": [label_form(made) for made in labels],
        }
        typer.echo(dumped("label", form))
        return
    for made in labels:
        show_label(bench, composition, made, broken)
