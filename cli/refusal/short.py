"""No composition, in one screen: what clashes first, and the cheapest ways out."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...solver.cheapest.cheapest import Refusal
from ..kit.one_screen import columns, sentences, show_parts
from .words import (
    clash_sentence,
    concession_sentences,
    is_just,
    purchase_cells,
    refused,
    undone_sentence,
)

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.infeasible.reasons import Reasons


def show_short_refusal(
    console: "Console", bench: Bench, refusal: Refusal, why: "Reasons | None"
) -> None:
    """The smallest clash, the ways out and what to put on the shelf."""
    head = sentences("", (refused(bench.brief.name, refusal.outcome),))
    from ...solver.infeasible.reasons import Search

    rest = "--all: how sure that is, every clash, and what each way out rests on."
    if why is None:
        show_parts(console, (head,), rest)
        return
    clashes = [clash_sentence(bench, refusal.program, one) for one in why.clashes.found[:1]]
    cut = Search.CONCESSIONS in why.undone
    ways = concession_sentences(bench, why.concessions, cut=cut, just=is_just(why.clashes))
    bought = [purchase_cells(one) for one in why.purchases]
    money = f"worth up to, {bench.brief.currency}/kg"
    table = [("material", "needs at least", money), *bought] if bought else []
    parts = (
        head,
        sentences("What clashes", clashes),
        sentences("Ways out, cheapest first; each was tried", ways),
        columns("Or put one of these on the shelf", table, right=(1, 2), least=2, headed=True),
        sentences("", (undone_sentence(why.undone),) if why.undone else ()),
    )
    show_parts(console, parts, rest)
