"""``barwright check``: does a composition keep the rules?"""

import typer

from ...constraints.model.brief import Bench, Composition
from ...constraints.rules.verdict import Verdict
from ..kit.exit import Exit
from ..kit.loading import BenchPath, Format, FormulaPath, Shown, bench_or_leave, formula_or_leave


def command(bench_path: BenchPath, formula_path: FormulaPath, shown: Shown = Format.TABLE) -> None:
    """Judge a FORMULA by every rule of BENCH: kept or broken, and by how much."""
    from ...constraints.rules.verdict import judge

    bench = bench_or_leave(bench_path, shown)
    composition = formula_or_leave(formula_path, bench, shown)
    verdicts = judge(bench, composition)
    show_judgement(bench, composition, verdicts, shown)
    if not all(verdict.kept for verdict in verdicts):
        raise typer.Exit(Exit.RULE_BROKEN)


def show_judgement(
    bench: Bench, composition: Composition, verdicts: tuple[Verdict, ...], shown: Format
) -> None:
    """A composition, its cost and every rule's verdict, broken rules first."""
    if shown is Format.JSON:
        from ..kit.as_json import composition_form, dumped, units, verdict_form

        form = {
            "product": bench.brief.name,
            "formula": composition.name,
            "units": units(bench),
            "cost": bench.cost_of(composition),
            "kept": all(verdict.kept for verdict in verdicts),
            **composition_form(bench, composition),
            "rules": [verdict_form(verdict) for verdict in verdicts],
        }
        typer.echo(dumped("check", form))
        return
    from ..finding.view import (
        composition_table,
        show_closing,
        show_contents,
        verdict_table,
    )
    from ..kit.numbers import money
    from ..kit.screen import heading, paragraph, stdout

    console = stdout()
    broken = [verdict for verdict in verdicts if not verdict.kept]
    kept = [verdict for verdict in verdicts if verdict.kept]
    cost = money(bench.cost_of(composition), bench.brief.currency)
    paragraph(console, f"{composition.name}: {cost} of mix, judged by {bench.brief.name}")
    console.print(composition_table(bench, composition))
    if broken:
        heading(console, f"Broken: {len(broken)} of {len(verdicts)} rules")
        console.print(verdict_table(tuple(broken)))
        for verdict in broken:
            paragraph(console, f"{verdict.rule.id}: {verdict.rule.because}")
    heading(console, "Kept" if broken else f"Kept: all {len(verdicts)} rules")
    console.print(verdict_table(tuple(kept)))
    show_contents(console, bench, composition)
    show_closing(console, verdicts)
