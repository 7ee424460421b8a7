"""Lines of the shelf -> offers and lots, and those of one material -> one item."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from ..catalogue import catalogue
from ..model.material import Material
from ..model.shelf import Item, Lot, Offer, by_price
from ..model.stores import Stores
from ..values.day import day_of
from ..values.names import folded
from ..values.problem import Problem
from ..values.sheet import Line
from ..values.units import shown


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the shelf, read.

    Args:
        line: as it stands there.
        material: what it offers.
        offer: how it can be bought.
        stock: what is there of it [kg], or ``None`` where it was not counted.
        own: figures of the maker's own, by column.
    """

    line: Line
    material: Material
    offer: Offer
    stock: float | None
    own: Mapping[str, float] = field(default_factory=dict)

    @property
    def lots(self) -> tuple[Lot, ...]:
        """What is there, if it was counted."""
        if self.stock is None:
            return ()
        best_before = day_of(self.line["best before"]) or ""
        return (Lot(self.line["lot"], self.stock, best_before, self.offer.supplier),)

    @property
    def told_apart_by(self) -> tuple[object, ...]:
        """What makes it another line than the others of its material."""
        line = self.line
        return folded(self.offer.supplier), self.offer.pack, folded(line["lot"])


def items_of(entries: Sequence[Entry], stores: Stores, problems: list[Problem]) -> tuple[Item, ...]:
    """One item for each material, in the order in which they first come; what clashes is noted."""
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        groups.setdefault(entry.material.name, []).append(entry)
    for group in groups.values():
        _refuse_again(group, problems)
        _refuse_another_figure(group, problems)
    shorts = _shorts(groups, stores, problems)
    return tuple(_item(group, shorts.get(name, "")) for name, group in groups.items())


def _refuse_again(group: Iterable[Entry], problems: list[Problem]) -> None:
    seen: dict[tuple[object, ...], Line] = {}
    for entry in group:
        line = entry.line
        first = seen.setdefault(entry.told_apart_by, line)
        if first is not line:
            found = f"{shown(entry.material.name)} again"
            expected = f"one line, as {first.where.place}, or another supplier, pack or lot"
            problems.append(line.problem("material", found, expected))


def _refuse_another_figure(group: Iterable[Entry], problems: list[Problem]) -> None:
    """A figure of the maker's own belongs to the material, whoever sells it."""
    first: dict[str, Entry] = {}
    for entry in group:
        for column, figure in entry.own.items():
            before = first.setdefault(column, entry)
            if before.own[column] != figure:
                expected = f"{before.own[column]:g}, as {before.line.where.place} says, or nothing"
                problems.append(entry.line.problem(column, f"{figure:g}", expected))


def _item(group: Sequence[Entry], short: str) -> Item:
    first = group[0]
    offers = tuple(entry.offer for entry in group)
    cheapest = by_price(offers)[0]
    counted = [entry.stock for entry in group if entry.stock is not None]
    return Item(
        material=first.material,
        price=cheapest.per_kg,
        pack=cheapest.pack,
        stock=sum(counted) if counted else None,
        available=cheapest.available,
        note=next((entry.line["note"] for entry in group if entry.line["note"]), ""),
        where=cheapest.where,
        offers=offers,
        lots=tuple(lot for entry in group for lot in entry.lots),
        short=short,
        own={column: figure for entry in group for column, figure in entry.own.items()},
    )


def _shorts(
    groups: Mapping[str, Sequence[Entry]], stores: Stores, problems: list[Problem]
) -> dict[str, str]:
    """Material -> its short name; one that means something else already is noted."""
    taken = {folded(name): name for name in stores.substance_names}
    taken |= {folded(name): name for name in stores.material_names}
    taken |= {folded(name): name for name in (*catalogue.class_meanings(), *catalogue.tags())}
    shorts: dict[str, str] = {}
    for name, group in groups.items():
        for entry in group:
            short = entry.line["short"]
            other = taken.get(folded(short)) if short else None
            if other is not None and other != name:
                found = f"{shown(short)}, which means {shown(other)}"
                problems.append(entry.line.problem("short", found, "a name of its own"))
            elif short:
                shorts.setdefault(name, short)
                taken[folded(short)] = name
    return shorts
