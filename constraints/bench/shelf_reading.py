"""The shelf: what is there and what it costs."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

from ..catalogue import catalogue
from ..model.material import Material
from ..model.shelf import Item, Offer
from ..model.stores import Stores
from ..values.day import day_of
from ..values.names import nearest_names, spelt
from ..values.problem import Problem, Where
from ..values.sheet import Line, Sheet
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
