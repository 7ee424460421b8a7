"""No composition: what clashes, and the ways out."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...solver.cheapest.cheapest import Refusal
from ...solver.program.outcome import Infeasible
from ..kit.answer import answered
from ..kit.options import Format
from ..kit.patience import patience

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from rich.console import Console

    from ...solver.infeasible.concessions import Concession
    from ...solver.infeasible.conflict import Clashes
    from ...solver.infeasible.purchases import Purchase
    from ...solver.infeasible.reasons import Reasons
    from ...solver.program.deadline import Deadline
    from ...solver.proof.proved import ProvedInfeasible, Unproved
    from ...solver.strength.proof import ProvedNowhere
    from ..finding.as_json import AnyProof

CLASHES = 3
MOST_CLASHES = 5
WAYS = 5


def show_refusal(
    bench: Bench,
    refusal: Refusal,
    shown: Format,
    command: str = "cheapest",
    *,
    whole: bool = False,
    deadline: "Deadline | None" = None,
    before: "Callable[[AnyProof], None] | None" = None,
    beside: "Mapping[str, object] | None" = None,
) -> None:
    """Say why nothing keeps the rules, on stdout: it is a finding, not a mistake.

    That nothing does comes first, with its proof; clashes and ways out as they are found.

    Args:
        bench: shelf and rules.
        refusal: that nothing keeps them.
        shown: how to show it.
        command: whose answer it is.
        whole: whether all of it is asked for.
        deadline: when to leave what explains it undone.
        before: what to do with the proof before a word is said; nothing where there is none.
        beside: what else a document says.
    """
    from ...solver.program.deadline import NEVER

    told = ToldRefusal(bench, refusal, deadline or NEVER)
    proof = None if before is None else told.proof(asked=True)
    if before is not None and proof is not None:
        before(proof)
    answered(command, shown, lambda: {**told.form(), **(beside or {})}, told.show, whole=whole)


class ToldRefusal:
    """A refusal, explained while it is shown.

    Args:
        bench: shelf and rules.
        refusal: that nothing keeps them.
        deadline: when to leave what explains it undone.
    """

    def __init__(self, bench: Bench, refusal: Refusal, deadline: "Deadline") -> None:
        from ...solver.infeasible.reasons import Searches

        self._bench, self._refusal = bench, refusal
        self._searches = Searches(bench, refusal, deadline)
        self._why: Reasons | None = None

    def proof(self, *, asked: bool = False) -> "ProvedInfeasible | ProvedNowhere | Unproved | None":
        """The proof that nothing does; ``None`` where the solver gave up.

        Args:
            asked: whether it is asked for by itself and may take all the time there is.
        """
        if not isinstance(self._refusal.outcome, Infeasible):
            return None
        with patience("proving it"):
            return self._searches.proof(asked=asked)

    def show(self, console: "Console", whole: bool) -> None:
        """All of it, each part as soon as it is known, or what fits one screen."""
        (self._all if whole else self._short)(console)

    def form(self) -> dict[str, object]:
        """As a JSON document."""
        from .as_json import refusal_form

        return refusal_form(self._bench, self._refusal, self._reasons())

    def _short(self, console: "Console") -> None:
        """Within one screen."""
        from .short import show_short_refusal

        show_short_refusal(console, self._bench, self._refusal, self._reasons())

    def _reasons(self) -> "Reasons | None":
        if self._why is None and isinstance(self._refusal.outcome, Infeasible):
            with patience("looking for what clashes, and for ways out"):
                self._why = self._searches.reasons(most_ways=WAYS)
        return self._why

    def _all(self, console: "Console") -> None:
        """On the screen, each part as soon as it is known."""
        from ...solver.infeasible.reasons import Search
        from ..finding.proof import impossible_sentence
        from ..kit.screen import paragraph
        from .words import is_just, refused, undone_sentence

        paragraph(console, refused(self._bench.brief.name, self._refusal.outcome))
        searches, proof = self._searches, self.proof()
        if proof is None:
            return
        paragraph(console, impossible_sentence(proof))
        with patience("looking for what clashes"):
            clashes = searches.clashes(MOST_CLASHES)
        _show_clashes(console, self._bench, self._refusal, clashes)
        with patience("looking for ways out"):
            ways = searches.concessions(WAYS)
        cut = Search.CONCESSIONS in searches.undone
        _show_concessions(console, self._bench, ways, cut=cut, just=is_just(clashes))
        with patience("looking for materials that would help"):
            bought = searches.purchases(WAYS)
        _show_purchases(
            console, self._bench, bought, searches.tried, cut=Search.PURCHASES in searches.undone
        )
        if searches.undone:
            console.print()
            paragraph(console, undone_sentence(searches.undone))


def _show_clashes(console: "Console", bench: Bench, refusal: Refusal, clashes: "Clashes") -> None:
    from ..kit.screen import heading, paragraph
    from .words import clash_sentence, clashes_note

    heading(console, "What clashes, smallest first")
    found = clashes.found[:CLASHES]
    for number, clash in enumerate(found, start=1):
        paragraph(console, f"{number}. {clash_sentence(bench, refusal.program, clash)}")
    note = clashes_note(clashes, len(found))
    if note:
        paragraph(console, note)


def _show_concessions(
    console: "Console", bench: Bench, ways: "Sequence[Concession]", *, cut: bool, just: bool
) -> None:
    from ..kit.screen import heading, paragraph
    from .words import CAUTION, FAR, concession_sentences

    said = concession_sentences(bench, ways, cut=cut, just=just)
    if not said:
        return
    heading(console, "Ways out, cheapest first; each was tried")
    if said[0] == FAR or not ways:
        paragraph(console, said.pop(0))
    for number, sentence in enumerate(said, start=1):
        paragraph(console, f"{number}. {sentence}")
    if ways:
        paragraph(console, CAUTION)


def _show_purchases(
    console: "Console", bench: Bench, bought: "Sequence[Purchase]", tried: int, *, cut: bool
) -> None:
    from ..kit.screen import heading, paragraph, table
    from .words import held_sentence, purchase_cells, purchases_sentence

    if not bought and cut:
        return
    heading(console, "Or put one more material on the shelf")
    paragraph(console, purchases_sentence(bought, tried))
    if bought:
        head = f"worth up to, {bench.brief.currency}/kg"
        made = table("material", "needs at least", head, right=(1, 2))
        for purchase in bought:
            made.add_row(*purchase_cells(purchase))
        console.print()
        console.print(made)
        held = held_sentence(bought)
        if held:
            paragraph(console, held)
