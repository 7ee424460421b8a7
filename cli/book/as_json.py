"""The book as data; masses in kg."""

from collections.abc import Sequence

from ...constraints.model.book import BatchMade
from ...workshop.book.learning import habit_of
from ...workshop.book.tracing import Holds


def batch_form(batch: BatchMade) -> dict[str, object]:
    """One batch."""
    return {
        "batch": batch.number,
        "bench": batch.bench,
        "formula": batch.formula,
        "made": batch.made,
        "state": batch.state.value,
        "bars": batch.bars,
        "came_out": batch.came_out,
        "mix": batch.mix,
        "ph": list(batch.ph),
        "pressed": list(batch.pressed),
        "dried": list(batch.dried),
        "weighed": [
            {"material": one.material, "lot": one.lot or None, "mass": one.mass}
            for one in batch.weighed
        ],
    }


def book_form(book: Sequence[BatchMade]) -> dict[str, object]:
    """Every batch, and what they teach."""
    habit = habit_of(book)
    return {
        "batches": [batch_form(one) for one in book],
        "spread": habit.spread,
        "drying": habit.drying,
        "bars_weighed": len(habit.weighings),
        "bars_weighed_twice": habit.dried,
    }


def trace_form(lot: str, found: Sequence[Holds]) -> dict[str, object]:
    """The batches that hold a lot."""
    return {
        "lot": lot,
        "held_by": [
            {
                "batch": one.batch.number,
                "formula": one.batch.formula,
                "state": one.batch.state.value,
                "bars": one.batch.bars if one.batch.came_out is None else one.batch.came_out,
                "share": one.share,
                "materials": [each.material for each in one.weighed],
            }
            for one in found
        ],
    }
