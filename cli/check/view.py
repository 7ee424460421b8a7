"""A judgement on the screen."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...constraints.model.brief import Composition
from ...constraints.model.verdict import Verdict
from ..finding.contents import show_contents
from ..finding.lots import show_lots
from ..finding.ph import unsure_sentence
from ..finding.pictures import rules_picture
from ..finding.view import (
    show_closing,
    show_composition,
    show_prediction,
    show_second_look,
    verdict_table,
)
from ..kit.numbers import money
from ..kit.screen import heading, paragraph, picture
from ..sureness.view import show_read

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.uncertain.informing import Informed


def show_judgement(
    console: "Console", read: "Informed", composition: Composition, verdicts: Sequence[Verdict]
) -> None:
    """A composition, its cost and every rule's verdict, broken rules first."""
    bench = read.bench
    broken = [verdict for verdict in verdicts if not verdict.kept and verdict.unsure is None]
    unsure = [verdict for verdict in verdicts if verdict.unsure is not None]
    kept = [verdict for verdict in verdicts if verdict.kept]
    cost = money(bench.cost_of(composition), bench.brief.currency)
    paragraph(console, f"{composition.name}: {cost} of mix, judged by {bench.brief.name}")
    show_composition(console, bench, composition)
    show_second_look(console, bench, composition)
    if broken:
        heading(console, f"Broken: {len(broken)} of {len(verdicts)} rules")
        console.print(verdict_table(tuple(broken)))
        for verdict in broken:
            paragraph(console, f"{verdict.rule.id}: {verdict.rule.because}")
    if unsure:
        heading(console, f"Not sure: {len(unsure)} of {len(verdicts)} rules")
        console.print(verdict_table(tuple(unsure)))
        for verdict in unsure:
            paragraph(console, unsure_sentence(verdict))
    heading(console, "Kept" if broken or unsure else f"Kept: all {len(verdicts)} rules")
    console.print(verdict_table(tuple(kept)))
    picture(console, lambda: rules_picture(verdicts))
    show_prediction(console, bench, composition)
    show_lots(console, bench, composition, read.within)
    if read.readings:
        show_read(console, read, whole=True)
    show_contents(console, bench, composition)
    show_closing(console, bench, composition, verdicts)
