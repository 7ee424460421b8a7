"""The book on the screen."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.model.book import BatchMade, State
from ...workshop.book.learning import habit_of
from ...workshop.book.tracing import Holds, without_lot
from ..kit.numbers import amount, percent, share
from ..kit.one_screen import counted
from ..kit.screen import heading, paragraph, table

if TYPE_CHECKING:
    from rich.console import Console

DONE = {
    State.OPEN: "is begun; weigh what its file says, and note there what was weighed",
    State.CLOSED: "is closed; the stock is lowered by what went in",
    State.UNDONE: "is undone; what went in is in stock again",
}


def show_changed(console: "Console", workshop: Path, batch: BatchMade) -> None:
    """What became of a batch."""
    path = workshop / "book" / f"{batch.number}.toml"
    paragraph(console, f"Batch {batch.number} ({batch.formula}) {DONE[batch.state]}: {path}.")


def show_book(console: "Console", book: Sequence[BatchMade]) -> None:
    """Every batch, and what they teach."""
    if not book:
        paragraph(console, "The book is empty: barwright book WORKSHOP --open FORMULA --bars N.")
        return
    made = table("batch", "bar", "bars", "yield", "mix", "state", right=(2, 3, 4))
    for one in book:
        came = "" if one.came_out is None else percent(one.came_out / max(one.bars, 1))
        made.add_row(one.number, one.formula, str(one.bars), came, amount(one.mix), one.state)
    console.print(made)
    habit = habit_of(book)
    if habit.spread is not None:
        count, batches = len(habit.weighings), habit.batches
        paragraph(
            console,
            f"Portions differ by {amount(habit.spread)} within a batch (standard deviation of "
            f"{counted(count, 'bar')} in {counted(batches, 'batch', 'batches')}). "
            "barwright fill --book reckons with it.",
        )
    if habit.drying is not None and habit.driest is not None:
        paragraph(
            console,
            f"Bars lost {percent(habit.drying)} in drying on the mean of {habit.dried}, "
            f"{percent(habit.driest)} at most.",
        )


def show_batch_made(console: "Console", batch: BatchMade) -> None:
    """What went into a batch."""
    paragraph(
        console,
        f"Batch {batch.number}, {batch.formula}, made {batch.made}: {counted(batch.bars, 'bar')}, "
        f"{amount(batch.mix)} of mix, {batch.state}.",
    )
    made = table("material", "lot", "mass", right=(2,))
    for one in batch.weighed:
        made.add_row(one.material, one.lot or "not noted", amount(one.mass))
    console.print(made)
    if batch.ph:
        paragraph(console, f"pH read: {', '.join(f'{one:g}' for one in batch.ph)}.")


def show_trace(console: "Console", lot: str, found: Sequence[Holds]) -> None:
    """The batches that hold a lot."""
    if not found:
        paragraph(console, f"No bar holds lot {lot}: the batches with it were undone.")
        return
    heading(console, f"Lot {lot} is in")
    made = table("batch", "bar", "bars", "of the mix", "state", right=(2, 3))
    for one in found:
        batch = one.batch
        bars = batch.bars if batch.came_out is None else batch.came_out
        made.add_row(batch.number, batch.formula, str(bars), share(one.share), batch.state)
    console.print(made)
    unknown = [one.batch.number for one in found if without_lot(one.batch)]
    if unknown:
        paragraph(console, f"Of other materials no lot was noted in {', '.join(unknown)}.")
