"""A batch as it is begun in the book: what is to be weighed, lot by lot."""

from collections.abc import Iterator

from ...constraints.model.book import BatchMade, State, WeighedIn
from ...constraints.model.brief import Bench
from ...constraints.model.shelf import Lot
from ..batch.lines import Batch


def begun(bench: Bench, batch: Batch, folder: str, made: str) -> BatchMade:
    """A batch weighed out, with the lots of the shelf; those good for the least time first.

    Args:
        bench: with what is there.
        batch: as it is weighed out.
        folder: of the bench, as seen from the workshop.
        made: the day (ISO).
    """
    weighed = [
        one
        for weight in batch.weighed.weights
        for one in _from_lots(bench, weight.material, float(weight.exact))
    ]
    return BatchMade(
        number="",
        bench=folder,
        formula=batch.name,
        made=made,
        state=State.OPEN,
        bars=batch.bars,
        came_out=None,
        weighed=tuple(weighed),
    )


def _from_lots(bench: Bench, material: str, mass: float) -> Iterator[WeighedIn]:
    rest = mass
    for lot in sorted(bench.item(material).lots, key=_good_for):
        some = min(rest, lot.mass)
        if lot.name and some > 0:
            rest -= some
            yield WeighedIn(material, lot.name, some)
    if rest > 1e-12:
        yield WeighedIn(material, "", rest)


def _good_for(lot: Lot) -> tuple[bool, str]:
    return not lot.best_before, lot.best_before
