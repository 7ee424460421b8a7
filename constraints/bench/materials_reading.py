"""The maker's own materials and substances, over those that are known."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from ..acidity.residual import residual_of
from ..catalogue import catalogue
from ..catalogue.entry import Known, material_of, substance_of
from ..model.material import Material
from ..model.stores import Stores
from ..model.substance import Substance
from ..values.names import folded, nearest_names, spelt
from ..values.problem import Problem
from ..values.table import Table, table_of
from ..values.units import shown


def stores_of(
    file: str, content: str | bytes | None, problems: list[Problem], under: Stores | None = None
) -> Stores:
    """Read the maker's materials over what is known; without a file, what is known alone.

    Args:
        file: as shown to the maker.
        content: what stands in it.
        problems: where what is wrong is noted.
        under: what is known already; by default the catalogue.
    """
    known = catalogue.stores() if under is None else under
    top = table_of(file, content, problems) if content is not None else None
    if top is None:
        return known
    substances, spoilt = _substances(top, known)
    materials, spoilt_too = _materials(top, substances, known)
    made = known.under(materials, substances, spoilt | spoilt_too)
    if not substances:
        return made
    changed = frozenset(substances)
    return replace(made, materials=_ReadAnew(made.materials, made.substances, changed))


@dataclass(frozen=True, slots=True)
class _ReadAnew(Mapping[str, Material]):
    """Materials where substances of the maker's own go before those that they were read with.

    What a solution reads then means another base beyond the substances.
    """

    materials: Mapping[str, Material]
    substances: Mapping[str, Substance]
    changed: frozenset[str]

    def __getitem__(self, name: str) -> Material:
        found = self.materials[name]
        if found.reads is None or self.changed.isdisjoint(found.contents):
            return found
        return replace(found, alkalinity=residual_of(found, self.substances))

    def __iter__(self) -> Iterator[str]:
        return iter(self.materials)

    def __len__(self) -> int:
        return len(self.materials)


def _substances(top: Table, under: Stores) -> tuple[dict[str, Substance], frozenset[str]]:
    section = top.table("substances")
    if section is None:
        return {}, frozenset()
    known, named = catalogue.known(), frozenset(under.substance_names)
    read: dict[str, Substance] = {}
    spoilt = set()
    for entry in section.tables():
        inci, before = entry.path[-1], len(top.problems)
        _refuse_taken(entry, dict.fromkeys(known.classes, "a class"))
        base = under.substance(inci) if inci in named else None
        read[inci] = substance_of(entry, known, base)
        if len(top.problems) > before:
            spoilt.add(inci)
    return read, frozenset(spoilt)


def _materials(
    top: Table, substances: Mapping[str, Substance], under: Stores
) -> tuple[dict[str, Material], frozenset[str]]:
    known = replace(
        catalogue.known(),
        substances=frozenset((*under.substance_names, *substances)),
        substance=lambda inci: substances.get(inci) or under.substance(inci),
    )
    entries = {
        name: table for name in top.values if name != "substances" and (table := top.table(name))
    }
    read: dict[str, Material] = {}
    spoilt = {name for name in top.values if name != "substances" and name not in entries}
    for name, entry in _after_their_likes(entries, top.problems):
        before = len(top.problems)
        _refuse_taken(entry, _taken(known))
        base = _base(entry, read, entries, under)
        if len(top.problems) == before:
            read[name] = material_of(entry, known, base)
        if len(top.problems) > before:
            spoilt.add(name)
    spoilt |= entries.keys() - read.keys()
    return {name: read[name] for name in entries if name in read}, frozenset(spoilt)


def _taken(known: Known) -> dict[str, str]:
    return dict.fromkeys(known.substances, "a substance") | dict.fromkeys(known.classes, "a class")


def _refuse_taken(entry: Table, taken: Mapping[str, str]) -> None:
    """A rule names classes, substances and materials alike, so that no two may share a name."""
    name = entry.path[-1]
    other = spelt(name, taken)
    if other is not None:
        entry.refuse(
            f"the name of {taken[other]}",
            f'a name with its grade, such as "{folded(name)}, powder"',
        )
    elif not name.strip() or name != " ".join(name.split()):
        entry.refuse(
            shown(name) or "an empty name", "a name without spaces at its ends or in a row"
        )


def _after_their_likes(
    entries: Mapping[str, Table], problems: list[Problem]
) -> list[tuple[str, Table]]:
    """Entries in an order in which each comes after the one it is like."""
    ordered: dict[str, Table] = {}
    waiting = dict(entries)
    while waiting:
        ready = {
            name: entry
            for name, entry in waiting.items()
            if _like(entry) == name or _like(entry) not in waiting
        }
        if not ready:
            for entry in waiting.values():
                found = f"{shown(_like(entry))}, which leads back here"
                entry.refuse(found, "a material that stands on its own", "like")
            break
        ordered |= ready
        waiting = {name: entry for name, entry in waiting.items() if name not in ready}
    return list(ordered.items())


def _like(entry: Table) -> str:
    value = entry.values.get("like")
    return value if isinstance(value, str) else ""


def _base(
    entry: Table, read: Mapping[str, Material], entries: Mapping[str, Table], under: Stores
) -> Material | None:
    """The material that an entry starts from; ``None`` for one that stands on its own."""
    catalogued = under.material_names
    like = entry.text("like", "the name of another material")
    if like is None:
        return under.material(entry.path[-1]) if entry.path[-1] in catalogued else None
    name = spelt(like, (*read, *catalogued))
    if name is None and like not in entries:
        near = nearest_names(like, (*entries, *catalogued))
        entry.refuse(shown(like), "a known material", "like", nearest=near)
    elif name is None:
        entry.refuse(shown(like), "a material without problems of its own", "like")
    return None if name is None else read.get(name) or under.material(name)
