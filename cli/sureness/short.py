"""A composition that is as sure as was asked, in one screen."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ..finding.beware import beware
from ..finding.short import weigh_part
from ..kit.numbers import money
from ..kit.one_screen import sentences, show_parts
from .words import (
    asked_sentence,
    proved_words,
    read_sentence,
    short_correction,
    tried_sentence,
    worth_sentence,
)

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.answers.explained import Explained
    from ...solver.uncertain.informing import Informed
    from ...solver.uncertain.safety import Safe


def show_short_sureness(
    console: "Console",
    bench: Bench,
    shown: "Explained",
    safe: "Safe",
    read: "Informed",
    *,
    yearly: float | None = None,
) -> None:
    """What to weigh, what it costs, how sure it is, what it leans on, what to measure."""
    finding, currency = shown.finding, bench.brief.currency
    proved = proved_words(bench, shown)
    head = f"{bench.brief.name}: {money(finding.cost, currency)} of mix, {proved}."
    sure = [asked_sentence(safe.sure, safe.plain, currency, yearly), tried_sentence(safe.sure)]
    if safe.sure.correction is not None:
        sure.append(short_correction(safe.sure.correction))
    if read.readings:
        sure.append(read_sentence(read))
    measure = (worth_sentence(safe.worths[0], currency, yearly),) if safe.worths else ()
    warnings = list(beware(bench, finding.composition))
    if shown.worth is None or not shown.worth.proved:
        warnings.insert(0, "Not proved to be the cheapest; --all says what is known.")
    parts = (
        sentences("", (head,)),
        weigh_part(bench, finding.composition, console.width),
        sentences("How sure it is", sure, least=len(sure)),
        sentences("What a reading is worth", measure, least=len(measure)),
        sentences("Beware", warnings, least=min(2, len(warnings))),
    )
    show_parts(console, parts, "--all: what more or less safety costs, and every price and rule.")
