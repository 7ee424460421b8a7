"""No composition: what clashes, and the ways out."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...solver.cheapest.cheapest import Refusal
from ...solver.program.outcome import Infeasible
from ..kit.answer import answered
from ..kit.options import Format
from ..kit.patience import patience

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.infeasible.reasons import Reasons
    from ..finding.as_json import AnyProof

CLASHES = 3
WAYS = 5


def show_refusal(
    bench: Bench, refusal: Refusal, shown: Format, command: str = "cheapest", *, whole: bool = False
) -> "AnyProof | None":
    """Say why nothing keeps the rules, on stdout: it is a finding, not a mistake.

    Returns:
        The proof that nothing does; ``None`` where the solver gave up.
    """
    why = None
    if isinstance(refusal.outcome, Infeasible):
        from ...solver.infeasible.reasons import reasons

        with patience("looking for what clashes, and for ways out"):
            why = reasons(bench, refusal, most_ways=WAYS)
    from .as_json import refusal_form
    from .short import show_short_refusal

    view = _show if whole else show_short_refusal

    answered(
        command,
        shown,
        lambda: refusal_form(bench, refusal, why),
        lambda console: view(console, bench, refusal, why),
    )
    return None if why is None else why.proof


def _show(console: "Console", bench: Bench, refusal: Refusal, reasons: "Reasons | None") -> None:
    from ..finding.proof import impossible_sentence
    from ..kit.screen import paragraph
    from .words import refused

    paragraph(console, refused(bench.brief.name, refusal.outcome))
    if reasons is not None:
        paragraph(console, impossible_sentence(reasons.proof))
        _show_clashes(console, bench, refusal, reasons)
        _show_concessions(console, bench, reasons)
        _show_purchases(console, bench, reasons)


def _show_clashes(console: "Console", bench: Bench, refusal: Refusal, reasons: "Reasons") -> None:
    from ..kit.screen import heading, paragraph
    from .words import clash_sentence, clashes_note

    heading(console, "What clashes, smallest first")
    found = reasons.clashes.found[:CLASHES]
    for number, clash in enumerate(found, start=1):
        paragraph(console, f"{number}. {clash_sentence(bench, refusal.program, clash)}")
    note = clashes_note(reasons.clashes, len(found))
    if note:
        paragraph(console, note)


def _show_concessions(console: "Console", bench: Bench, reasons: "Reasons") -> None:
    from ..kit.screen import heading, paragraph
    from .words import CAUTION, concession_sentence, no_concession

    heading(console, "Ways out, cheapest first; each was tried")
    if not reasons.concessions:
        paragraph(console, no_concession())
        return
    for number, way in enumerate(reasons.concessions, start=1):
        paragraph(console, f"{number}. {concession_sentence(bench, way)}")
    paragraph(console, CAUTION)


def _show_purchases(console: "Console", bench: Bench, reasons: "Reasons") -> None:
    from ..kit.screen import heading, paragraph, table
    from .words import purchase_cells, purchases_sentence

    heading(console, "Or put one more material on the shelf")
    paragraph(console, purchases_sentence(reasons))
    if reasons.purchases:
        head = f"worth up to, {bench.brief.currency}/kg"
        made = table("material", "needs at least", head, right=(1, 2))
        for purchase in reasons.purchases:
            made.add_row(*purchase_cells(purchase))
        console.print()
        console.print(made)
