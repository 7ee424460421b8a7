"""What was read of past batches, as readings of bars that cut the set of lots."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from ...constraints.acidity.constants import constants
from ...constraints.acidity.cuts import Taken
from ...constraints.model.book import BatchMade, State, WeighedIn
from ...constraints.model.brief import Bench

if TYPE_CHECKING:
    from ...constraints.model.material import Material


def readings_of_book(book: Iterable[BatchMade], bench: Bench, folder: str) -> tuple[Taken, ...]:
    """The pH of past batches, wherever a lot of theirs is the one that stands on the shelf.

    A batch binds a material only where the lot that went into it was noted and is the only one of
    that material that is there now; every other lot of the batch may have been anything within what
    is known of its material. What was read several times counts from the lowest to the highest.
    No batch says what it was read with: it counts as the usual meter, the mix as it was weighed in
    the water that the brief asks for.

    Args:
        book: batches.
        bench: with the lots that are there.
        folder: of the bench, as the book names it.

    Returns:
        One for each batch of the bench that was closed, read and binds something.
    """
    return tuple(
        taken
        for batch in book
        if batch.state is State.CLOSED and batch.bench == folder and batch.ph
        for taken in _taken(batch, bench)
    )


def _taken(batch: BatchMade, bench: Bench) -> Iterator[Taken]:
    stores = bench.stores
    weighed = [one for one in batch.weighed if one.mass > 0.0]
    if not all(_is_known(one.material, bench) for one in weighed):
        return  # what is no longer known of says nothing of the others
    there = _present(bench)
    parts: dict[str, float] = {}
    materials: dict[str, Material] = {}
    for one in weighed:
        present = one.lot and there.get(one.material) == one.lot
        name = one.material if present else _gone(one, batch)
        known = bench.material(one.material) if one.material in bench.material_names else None
        material = known or stores.material(one.material)
        parts[name] = parts.get(name, 0.0) + one.mass
        materials[name] = replace(material, name=name)
    if not any(name in there for name in parts):
        return
    within, dilution = constants().meter, bench.brief.dilution
    yield Taken(
        name=f"batch {batch.number}",
        parts=parts,
        materials=materials,
        fixed=(),
        water=batch.mix * (1.0 - dilution) / dilution,
        ph=(min(batch.ph) - within, max(batch.ph) + within),
        read=(min(batch.ph) + max(batch.ph)) / 2.0,
    )


def _is_known(name: str, bench: Bench) -> bool:
    return name in bench.material_names or name in bench.stores.material_names


def _present(bench: Bench) -> Mapping[str, str]:
    """Materials of which one numbered lot is there, and its number."""
    return {
        item.material.name: item.lots[0].name
        for item in bench.shelf
        if item.lots and len({lot.name for lot in item.lots}) == 1 and item.lots[0].name
    }


def _gone(one: WeighedIn, batch: BatchMade) -> str:
    lot = one.lot or f"unnumbered lot in batch {batch.number}"
    return f"{one.material}, {lot}"
