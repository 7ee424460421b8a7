"""The maker's own materials, and the shelf: what is there and what it costs."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

from ..acidity.residual import residual_of
from ..catalogue import catalogue
from ..catalogue.entry import Known, material_of, substance_of
from ..model.material import Material
from ..model.shelf import Item, Offer
from ..model.stores import Stores
from ..model.substance import Substance
from ..values.day import day_of
from ..values.names import folded, nearest_names, spelt
from ..values.problem import Problem, Where
from ..values.sheet import Line, Sheet
from ..values.table import Table, table_of
from ..values.units import Dimension, Misread, mass_of, parse, shown
from .offer_reading import Entry, items_of
from .workbook_reading import lines_of

COLUMNS = (
    "material", "pack", "price", "stock", "available", "note",
    "supplier", "least", "lot", "best before", "short",
)  # fmt: skip
OWN = "my "
"""How the name of a column begins that holds a figure of the maker's own."""

_YES = frozenset({"", "yes", "y", "true", "1"})
_NO = frozenset({"no", "n", "false", "0"})


@dataclass(frozen=True, slots=True)
class Shelf:
    """The shelf as far as it could be read.

    Args:
        items: what could be read.
        spoilt: names of lines that could not.
        listed: whether the name on every line is known.
    """

    items: tuple[Item, ...]
    spoilt: frozenset[str]
    listed: bool


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


def shelf_of(
    file: str,
    content: str | bytes,
    stores: Stores,
    rates: Mapping[str, float] | None,
    problems: list[Problem],
) -> Shelf:
    """Read the shelf; what is wrong is noted in ``problems``."""
    needed, start = ("material", "pack", "price"), len(problems)
    lines = lines_of(Sheet(file, COLUMNS, needed, problems, own=OWN), content, "shelf")
    listed = len(problems) == start
    if not lines and listed:
        listed = False
        problems.append(Problem(Where(file), "no material", "a line for each material"))
    entries: list[Entry] = []
    spoilt: set[str] = set()
    for line in lines:
        before = len(problems)
        entry = _entry(line, stores, rates, problems)
        if entry and len(problems) == before:
            entries.append(entry)
        else:
            spoilt.add(entry.material.name if entry else line["material"])
    sound = [entry for entry in entries if entry.material.name not in spoilt]
    return Shelf(items_of(sound, stores, problems), frozenset(spoilt), listed)


def _entry(
    line: Line, stores: Stores, rates: Mapping[str, float] | None, problems: list[Problem]
) -> Entry | None:
    material = _material(line, stores, problems)
    mass = partial(_mass, line, problems, material)
    pack = mass("pack")
    price = _money(line, rates, problems)
    stock = mass("stock") if line["stock"] else None
    least = mass("least") if line["least"] else 0.0
    if line["best before"] and day_of(line["best before"]) is None:
        expected = "a day such as 2027-03-31"
        problems.append(line.problem("best before", shown(line["best before"]), expected))
    if stock is None and (line["lot"] or line["best before"]):
        expected = "how much of the lot is there, such as 2 kg"
        problems.append(line.problem("stock", "nothing", expected))
    available = _available(line, problems)
    if pack == 0.0:
        problems.append(line.problem("pack", shown(line["pack"]), "more than nothing"))
    if material is None or not pack or price is None:
        return None
    per_kg = price / pack
    if per_kg > _DEAREST:
        found = f"{shown(line['price'])} for {shown(line['pack'])}"
        problems.append(line.problem("price", found, "less than a million for a kilogram"))
    offer = Offer(line["supplier"], price, pack, least or 0.0, available, line.where)
    return Entry(line, material, offer, stock, _own(line, problems))


def _own(line: Line, problems: list[Problem]) -> dict[str, float]:
    """Figures of the maker's own; what is blank is not known."""
    said = {name: text for name, text in line.fields.items() if name.startswith(OWN) and text}
    read = {
        name: _noted(line, name, parse(text, Dimension.RATIO, comma=line.comma), problems)
        for name, text in said.items()
    }
    return {name: figure for name, figure in read.items() if figure is not None}


_DEAREST = 1e6  # no raw material costs it: a slip of units


def _material(line: Line, stores: Stores, problems: list[Problem]) -> Material | None:
    wanted = line["material"]
    if not wanted:
        problems.append(line.problem("material", "nothing", "the name of a material"))
        return None
    names = stores.material_names
    name = spelt(wanted, names) or catalogue.called(wanted)
    if name is not None and name not in stores.spoilt:
        return stores.material(name)
    if name is None and wanted not in stores.spoilt:
        near = nearest_names(wanted, names)
        problems.append(line.problem("material", shown(wanted), "a known material", near))
    return None


def _money(line: Line, rates: Mapping[str, float] | None, problems: list[Problem]) -> float | None:
    read = parse(line["price"], Dimension.MONEY, rates, comma=line.comma)
    return _noted(line, "price", read, problems)


def _mass(
    line: Line, problems: list[Problem], material: Material | None, column: str
) -> float | None:
    """A mass [kg]; a volume counts by the density of the material."""
    text = line[column]
    density = material.density if material else None
    return _noted(line, column, mass_of(text, density, comma=line.comma), problems)


def _noted(line: Line, column: str, read: float | Misread, problems: list[Problem]) -> float | None:
    if isinstance(read, Misread):
        problems.append(line.problem(column, read.found or "nothing", read.expected, read.nearest))
        return None
    return read


def _available(line: Line, problems: list[Problem]) -> bool:
    word = line["available"].casefold()
    if word not in _YES | _NO:
        problems.append(line.problem("available", shown(line["available"]), "yes or no"))
    return word not in _NO
