"""Files into objects, or every problem in them at once.

The core works on contents alone; only ``read_bench`` and ``read_formula`` touch the disk.
"""

from collections.abc import Iterable, Mapping
from functools import partial
from pathlib import Path

from ..catalogue import catalogue
from ..model.brief import Bench, Brief, Composition, Written
from ..model.material import Form, Phase
from ..model.rule import Pick, Rule
from ..model.shelf import Item, called
from ..model.stores import Stores
from ..model.substance import Substance
from ..rules.reading import rules_of
from ..rules.registry import leading
from ..rules.scene import Scene
from ..values.names import Called
from ..values.problem import Problem, Problems, Where
from ..values.table import Table
from ..values.units import Dimension
from .added_rules import added_rules
from .brief_reading import Product, product_of
from .files import BRIEF, MATERIALS, SHELF, SHELF_BOOK, WORKSHOP, content_in, content_of, is_folder
from .formula_reading import composition_of
from .layers import ABOVE, layered_brief, liked
from .materials_reading import stores_of
from .remarks import remarks_on
from .shelf_reading import Shelf, shelf_of


def read_bench(folder: str | Path) -> Bench | Problems:
    """Read a bench: ``brief.toml``, ``shelf.csv`` and, where there is one, ``materials.toml``.

    The shelf may be a workbook instead, ``shelf.xlsx``.

    Where the folder above holds a ``workshop.toml``, the brief rests on it, the maker's materials
    come over those of the workshop, and a bench without a shelf uses the workshop's.

    Args:
        folder: where they are.

    Returns:
        The bench, or every problem in its files, in reading order. Never raises for what a maker
        may have written.
    """
    folder = Path(folder)
    there = is_folder(folder)
    if isinstance(there, Problem):
        return Problems((there,))
    if not there:
        found = "a file" if folder.exists() else "no such folder"
        return Problems((Problem(Where(str(folder)), found, f"a folder with {BRIEF} and {SHELF}"),))
    return bench_of(str(folder), contents(folder))


_SHELVES = (SHELF, SHELF_BOOK)

_WANTED = (
    f"the materials that can be had and their prices: {SHELF} or {SHELF_BOOK} here, or in the"
    f" folder above beside a {WORKSHOP}"
)


def contents(folder: Path) -> dict[str, bytes | Problem]:
    """What stands in the files of a bench that are there, by file name."""
    files = _there(folder, (BRIEF, *_SHELVES, MATERIALS))
    above = folder.resolve().parent
    if (above / WORKSHOP).is_file():
        shelves = () if any(name in files for name in _SHELVES) else _SHELVES
        shared = (WORKSHOP, *shelves, MATERIALS)
        files |= {ABOVE + name: content for name, content in _there(above, shared).items()}
    return {**files, **_likes(folder, files.get(BRIEF))}


def _there(folder: Path, names: Iterable[str]) -> dict[str, bytes | Problem]:
    read = {name: content_of(folder / name, name) for name in names}
    return {name: content for name, content in read.items() if content is not None}


def _likes(folder: Path, brief: bytes | Problem | None) -> dict[str, bytes | Problem]:
    """The brief that a brief says it is like, the one that this is like, and so on."""
    found: dict[str, bytes | Problem] = {}
    name, content = BRIEF, brief
    while isinstance(content, bytes):
        like = liked(name, content)
        if like is None or like in (BRIEF, *found):
            break
        name = f"{like}/{BRIEF}" if is_folder(folder / like) is True else like
        content = content_of(folder / name, name)
        if content is not None:
            found[name] = content
    return found


def read_formula(
    path: str | Path, bench: Bench, beside: Iterable[str] = ()
) -> Composition | Problems:
    """Read a formula, TOML or CSV, whose materials stand on the bench's shelf or ``beside`` it.

    Returns:
        The composition, or every problem in the file.
    """
    content = content_in(path, "a formula")
    if isinstance(content, Problem):
        return Problems((content,))
    return formula_of(str(path), content, bench, beside)


def bench_of(folder: str, files: Mapping[str, str | bytes | Problem]) -> Bench | Problems:
    """A bench from the contents of its files, by file name.

    Args:
        folder: the name under which it is shown.
        files: contents, or the problem that kept a file from being read.
    """
    problems: list[Problem] = []
    top = layered_brief(files, leading(), problems)
    product = product_of(top) if top else None
    start = len(problems)
    stores = stores_in(files, problems)
    shelf = _shelf(files, stores, product, problems)
    if top is None or product is None:
        return Problems(tuple(problems))
    substances = contained(shelf.items, stores)
    spoilt, whole = shelf.spoilt | stores.spoilt, len(problems) == start
    scene = _scene(product, Shelf(shelf.items, spoilt, shelf.listed), stores, whole=whole)
    rules = _rules(top, scene)
    if problems:
        return Problems(tuple(problems))
    read = {name: text for name, text in files.items() if not isinstance(text, Problem)}
    brief, written = _brief(product, rules), Written(read, rules)
    remarks = remarks_on(shelf.items, brief.currency)
    return Bench(folder, brief, shelf.items, substances, stores, written, remarks)


def rules_over(
    files: Mapping[str, str | bytes], items: tuple[Item, ...], stores: Stores
) -> tuple[Rule, ...] | Problems:
    """The rules that the files of a bench give over another shelf.

    Args:
        files: contents by file name; they were read before without a problem.
        items: the other shelf.
        stores: everything known.

    Returns:
        The rules, or why the brief does not bear that shelf: something on it lacks a figure that a
        rule counts.
    """
    problems: list[Problem] = []
    top = layered_brief(files, leading(), problems)
    if top is None:
        return Problems(tuple(problems))
    scene = _scene(product_of(top), Shelf(items, frozenset(), listed=True), stores, whole=True)
    rules = _rules(top, scene)
    return Problems(tuple(problems)) if problems else rules


def _scene(product: Product, shelf: Shelf, stores: Stores, *, whole: bool) -> Scene:
    """What the rules of a brief may speak of."""
    return Scene(
        currency=product.currency,
        rates=product.rates,
        dilution=product.dilution,
        drying=product.drying,
        stated=product.stated,
        markets=product.markets,
        purposes=product.purposes,
        items=shelf.items,
        spoilt=shelf.spoilt,
        substances=contained(shelf.items, stores),
        names=partial(_names, shelf.items, stores),
        substance=stores.substance,
        advice=product.advice,
        heat_to=product.workshop.heat_to,
        listed=shelf.listed,
        complete=whole,
    )


def _names(items: tuple[Item, ...], stores: Stores, pick: Pick) -> tuple[str, ...] | Called:
    """Every known name of a kind of thing."""
    if pick is Pick.CLASS:
        return tuple(catalogue.class_meanings())
    if pick is Pick.SUBSTANCE:
        return stores.substance_names
    if pick is Pick.MATERIAL:
        known = {name: name for name in stores.material_names}
        return Called(called(items) | known)
    if pick is Pick.FORM:
        return tuple(Form)
    if pick is Pick.PHASE:
        return tuple(Phase)
    borne = (tag for item in items for tag in item.material.tags)
    return tuple(dict.fromkeys((*borne, *catalogue.tags())))


def formula_of(
    file: str, content: str | bytes, bench: Bench, beside: Iterable[str] = ()
) -> Composition | Problems:
    """A composition from the content of a formula file; ``file`` ends in .toml, .csv or .xlsx.

    ``beside`` names materials that it may hold though they are not on the shelf.
    """
    problems: list[Problem] = []
    composition = composition_of(file, content, bench, problems, beside)
    return Problems(tuple(problems)) if problems or composition is None else composition


def _found(
    name: str, files: Mapping[str, str | bytes | Problem], problems: list[Problem]
) -> str | bytes | None:
    content = files.get(name)
    if isinstance(content, Problem):
        problems.append(content)
        return None
    return content


def _needed(
    name: str, expected: str, files: Mapping[str, str | bytes | Problem], problems: list[Problem]
) -> str | bytes | None:
    if name not in files:
        problems.append(Problem(Where(name), "no such file", expected))
    return _found(name, files, problems)


def stores_in(files: Mapping[str, str | bytes | Problem], problems: list[Problem]) -> Stores:
    """Everything known: the bench's own materials over the workshop's over the catalogue's."""
    known = stores_of(ABOVE + MATERIALS, _found(ABOVE + MATERIALS, files, problems), problems)
    return stores_of(MATERIALS, _found(MATERIALS, files, problems), problems, known)


def _shelf(
    files: Mapping[str, str | bytes | Problem],
    stores: Stores,
    product: Product | None,
    problems: list[Problem],
) -> Shelf:
    own = [name for name in _SHELVES if name in files]
    above = [ABOVE + name for name in _SHELVES if ABOVE + name in files]
    file, *more = own or above or [SHELF]
    beside = f"a {file} beside it"
    problems.extend(Problem(Where(other), beside, "one shelf, not two") for other in more)
    content = _needed(file, _WANTED, files, problems)
    if content is None:
        return Shelf((), frozenset(), listed=False)
    return shelf_of(file, content, stores, product.rates if product else None, problems)


def contained(items: tuple[Item, ...], stores: Stores) -> dict[str, Substance]:
    """Every substance that the shelf contains, in shelf order."""
    named = dict.fromkeys(inci for item in items for inci in item.material.contents)
    return {inci: stores.substance(inci) for inci in named}


def _rules(top: Table, scene: Scene) -> tuple[Rule, ...]:
    section = top.table("rules") or Table(top.file, ("rules",), {}, top.lines, top.problems)
    own = rules_of(section, scene)
    return (*own, *added_rules(section, own, scene))


def _brief(product: Product, rules: tuple[Rule, ...]) -> Brief:
    room, dilution = product.room, product.dilution
    return Brief(
        name=product.name,
        currency=product.currency,
        markets=product.markets,
        dilution=_usual("dilution", Dimension.SHARE) if dilution is None else dilution,
        rules=rules,
        balances=product.balances,
        portioning=product.portioning,
        room=_usual("room", Dimension.TEMPERATURE) if room is None else room,
        workshop=product.workshop,
        suppliers=product.suppliers,
        packaging=product.packaging,
        box=product.box,
        purposes=product.purposes,
    )


def _usual(name: str, dimension: Dimension) -> float:
    """What the trade takes as a matter of course where a brief says nothing."""
    from ..market.practice import figure

    return figure(name, dimension).span.typical
