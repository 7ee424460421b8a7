"""Which bars hold a lot, and which lots are in a batch."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ...constraints.model.book import BatchMade, State, WeighedIn
from ...constraints.values.names import folded


@dataclass(frozen=True, slots=True)
class Holds:
    """A batch that holds some of a lot.

    Args:
        batch: which.
        weighed: what of the lot went in, by material.
        share: of the lot in the mix [kg/kg].
    """

    batch: BatchMade
    weighed: tuple[WeighedIn, ...]
    share: float


def holding_lot(book: Iterable[BatchMade], lot: str) -> tuple[Holds, ...]:
    """The batches that hold some of a lot, undone ones left out, in the order of the book.

    A batch that was opened and not closed is told too: its bars may be there already.
    """
    found = []
    for batch in book:
        held = tuple(one for one in batch.weighed if one.lot and folded(one.lot) == folded(lot))
        if held and batch.state is not State.UNDONE:
            share = sum(one.mass for one in held) / batch.mix if batch.mix else 0.0
            found.append(Holds(batch, held, share))
    return tuple(found)


def without_lot(batch: BatchMade) -> tuple[WeighedIn, ...]:
    """What went into a batch of which no lot was noted: no one can tell where that is from."""
    return tuple(one for one in batch.weighed if not one.lot)


def lots_of(book: Sequence[BatchMade]) -> tuple[str, ...]:
    """Every lot in the book, each once."""
    return tuple(dict.fromkeys(one.lot for batch in book for one in batch.weighed if one.lot))
