"""A judgement in one screen."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...constraints.model.brief import Composition
from ...constraints.model.verdict import Verdict
from ..finding.beware import beware
from ..finding.lots import with_lots
from ..kit.numbers import money
from ..kit.one_screen import counted, sentences, show_parts
from ..kit.words import verdict_cells
from ..sureness.words import read_sentence

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.uncertain.informing import Informed


def show_short_judgement(
    console: "Console", read: "Informed", composition: Composition, verdicts: Sequence[Verdict]
) -> None:
    """What is broken, what stands just at its limit, and what to beware of."""
    bench = read.bench
    broken = [verdict for verdict in verdicts if not verdict.kept]
    tight = [
        one.rule.id
        for one in verdicts
        if one.kept and one.room is not None and one.room <= 0 and one.rule.word != "choose"
    ]
    cost = money(bench.cost_of(composition), bench.brief.currency)
    rules = counted(len(verdicts), "rule")
    judged = f"it breaks {len(broken)} of {rules}" if broken else f"it keeps all {rules}"
    warnings = with_lots(beware(bench, composition), bench, composition, read.within)
    parts = (
        sentences("", (f"{composition.name}: {cost} of mix, and {judged} of {bench.brief.name}.",)),
        sentences("Broken", (_broken(verdict) for verdict in broken)),
        sentences("Just at its limit", (f"{'; '.join(tight)}.",) if tight else ()),
        sentences("What was read", (read_sentence(read),) if read.readings else ()),
        sentences("Beware", warnings, least=1),
    )
    show_parts(console, parts, "--all: every rule with the room it leaves, and what is in the bar.")


def _broken(verdict: Verdict) -> str:
    name, limits, value, room = verdict_cells(verdict)
    stands = f"{value}, and {limits} is asked" if limits else value
    by = room.removeprefix("broken").strip()
    why = verdict.rule.because.strip().rstrip(".")
    return f"{name}: {stands}{f' (out {by})' if by else ''}. Why it is there: {why}."
