"""A formula that is to be changed: what it held, what may not be used, what is new.

The formula may hold materials that are not on the shelf any more. They are known to the catalogue
or to the maker's own materials, so that what the bar contained can still be told; they come onto
the bench as items that cannot be had.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from ..catalogue import catalogue
from ..model.brief import Bench, Composition
from ..model.rule import Counted, Kind, Pick, Rule, Selector, Without
from ..model.shelf import Item
from ..values.names import asked_name, nearest_names, spelt
from ..values.problem import Problem, Problems, Where
from ..values.units import Dimension, Misread, parse, shown
from .reading import MATERIALS, bench_of, contents, read_bench, read_formula
from .shelf_reading import Stores, stores_of

ASKED = Where("the command line")


@dataclass(frozen=True, slots=True)
class Wish:
    """What is to change, as the maker says it.

    Args:
        without: materials that may not be used any more.
        wanted: materials that may come in.
        avoid: substances, classes or tags of which nothing may be in the bar.
        prices: material -> price as written, for what is not on the shelf.
    """

    without: tuple[str, ...] = ()
    wanted: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    prices: Mapping[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Start:
    """Where a change starts.

    Args:
        bench: the shelf with what the formulas hold beside it, and what is not to be used as rules.
        formulas: as they are made today.
        without: names of the materials that may not be used.
        wanted: names of the materials that may come in.
        unpriced: materials of the formulas whose price is not known; they count as costing nothing.
        ruled_out: ids of the rules that the wish added.
    """

    bench: Bench
    formulas: tuple[Composition, ...]
    without: tuple[str, ...]
    wanted: tuple[str, ...]
    unpriced: frozenset[str]
    ruled_out: tuple[str, ...]


def read_start(folder: str | Path, formulas: Iterable[str | Path], wish: Wish) -> Start | Problems:
    """Read a bench and formulas, and what is to change, or every problem in them."""
    folder = Path(folder)
    plain = read_bench(folder)
    if isinstance(plain, Problems):
        return plain
    stores = _stores(folder)
    known = stores.material_names
    read = [read_formula(path, plain, known) for path in formulas]
    problems = [problem for one in read if isinstance(one, Problems) for problem in one.items]
    held = tuple(one for one in read if isinstance(one, Composition))
    prices = _prices(wish.prices or {}, known, plain, problems)
    wanted = _wanted(wish.wanted, known, prices, plain, problems)
    parts = tuple(dict.fromkeys(name for one in held for name in one.parts))
    there = (*parts, *_shelf(plain))
    without = tuple(dict.fromkeys(_without(wish.without, there, wanted, problems)))
    if problems:
        return Problems(tuple(problems))
    bench = _widened(folder, parts, prices)
    if isinstance(bench, Problems):
        return bench
    rules = (*_unused(without, bench), *_avoided(wish.avoid, bench, problems))
    if problems:
        return Problems(tuple(problems))
    unpriced = frozenset(parts) - frozenset(_shelf(plain)) - prices.keys()
    named = _apart(rules, bench)
    ids = tuple(rule.id for rule in named)
    return Start(with_rules(bench, named), held, without, wanted, unpriced, ids)


def with_rules(bench: Bench, rules: Iterable[Rule]) -> Bench:
    """The same bench with more rules at the end of its brief."""
    return replace(bench, brief=replace(bench.brief, rules=(*bench.brief.rules, *rules)))


def widened_by(start: Start, folder: str | Path, names: Iterable[str]) -> Bench | Problems:
    """The bench of a start with more materials on its shelf, as if they cost nothing.

    Whoever asks must not mind what they cost.
    """
    free = dict.fromkeys(names, 0.0)
    parts = tuple(name for formula in start.formulas for name in formula.parts)
    kept = {
        item.material.name: item.price
        for item in start.bench.shelf
        if item.where == ASKED and item.available
    }
    bench = _widened(Path(folder), parts, {**kept, **free})
    if isinstance(bench, Problems):
        return bench
    added = [rule for rule in start.bench.brief.rules if rule.id in start.ruled_out]
    return with_rules(bench, added)


def _stores(folder: Path) -> Stores:
    content = contents(folder).get(MATERIALS)
    return stores_of(MATERIALS, None if isinstance(content, Problem) else content, [])


def _shelf(bench: Bench) -> tuple[str, ...]:
    return tuple(item.material.name for item in bench.shelf)


def _widened(folder: Path, parts: Iterable[str], prices: Mapping[str, float]) -> Bench | Problems:
    """The bench with what formulas hold and what has a price beside its shelf."""
    names = tuple(dict.fromkeys((*prices, *parts)))

    def beside(stores: Stores) -> Iterator[Item]:
        for name in names:
            yield _item(stores, name, prices.get(name))

    return bench_of(str(folder), contents(folder), beside)


def _item(stores: Stores, name: str, price: float | None) -> Item:
    return Item(
        material=stores.material(name),
        price=price or 0.0,
        pack=1.0,
        stock=None,
        available=price is not None,
        note="it is not on the shelf" if price is None else "",
        where=ASKED,
    )


def _prices(
    written: Mapping[str, str], known: tuple[str, ...], bench: Bench, problems: list[Problem]
) -> dict[str, float]:
    prices: dict[str, float] = {}
    for text, price in written.items():
        name = _named(text, known, problems)
        read = parse(price, Dimension.PRICE, {bench.brief.currency: 1.0})
        if isinstance(read, Misread):
            problems.append(Problem(ASKED, read.found or "no price", read.expected, read.nearest))
        elif name in _shelf(bench):
            problems.append(
                Problem(ASKED, f"a price for {name}", "one for a material that is not on the shelf")
            )
        elif name is not None:
            prices[name] = read
    return prices


def _wanted(
    names: Iterable[str],
    known: tuple[str, ...],
    prices: Mapping[str, float],
    bench: Bench,
    problems: list[Problem],
) -> tuple[str, ...]:
    found = [name for text in names if (name := _named(text, known, problems)) is not None]
    for name in found:
        if name not in _shelf(bench) and name not in prices:
            price = f'a line for it in shelf.csv, or --price "{name}=20 {bench.brief.currency}/kg"'
            problems.append(Problem(ASKED, f"{name}, which is not on the shelf", price))
        elif name in _shelf(bench) and not bench.item(name).available:
            problems.append(
                Problem(
                    bench.item(name).where,
                    f"{name}, marked as not available",
                    "yes under available, if it is to come in",
                )
            )
    return tuple(dict.fromkeys(found))


def _without(
    names: Iterable[str], there: tuple[str, ...], wanted: Iterable[str], problems: list[Problem]
) -> Iterator[str]:
    for text in dict.fromkeys(names):
        name = _named(text, there, problems)
        if name is not None and name in wanted:
            problems.append(Problem(ASKED, f"{name} with and without", "one or the other"))
        elif name is not None:
            yield name


def _named(text: str, known: tuple[str, ...], problems: list[Problem]) -> str | None:
    name = asked_name(ASKED, text, known, "a known material")
    if isinstance(name, Problem):
        problems.append(name)
        return None
    return name


def _unused(names: Iterable[str], bench: Bench) -> Iterator[Without]:
    """Rules for what is still on the shelf; what is not has its rule already."""
    for name in names:
        if bench.item(name).available:
            yield _rule(f"without {name}", Selector(Pick.MATERIAL, name, Counted.SUPPLIED))


def _avoided(names: Iterable[str], bench: Bench, problems: list[Problem]) -> Iterator[Without]:
    for text in dict.fromkeys(names):
        pick, _, bare = text.partition(":")
        picks = (Pick(pick),) if bare and pick in set(Pick) else tuple(Pick)
        yield from _avoiding(bare.strip() if len(picks) == 1 else text, picks, bench, problems)


def _avoiding(
    text: str, picks: tuple[Pick, ...], bench: Bench, problems: list[Problem]
) -> Iterator[Without]:
    known = {pick: _names(pick, bench) for pick in picks}
    found = {pick: name for pick in picks if (name := spelt(text, known[pick])) is not None}
    if found:  # a word that is a class and a tag means both: nothing of either gets in
        selectors = [one for pick, name in found.items() for one in _selectors(pick, name)]
        for one in selectors:
            said = f" ({one.pick}, {one.counted})" if len(selectors) > 1 else ""
            yield _rule(f"without {one.name}{said}", one)
    else:
        every = tuple(name for names in known.values() for name in names)
        expected = "a known substance, class or tag"
        near = nearest_names(text, every)
        problems.append(Problem(ASKED, shown(text) or "nothing", expected, near))


def _selectors(pick: Pick, name: str) -> tuple[Selector, ...]:
    """A class is left out both as substances and as whole materials."""
    if pick is Pick.CLASS:
        return tuple(Selector(pick, name, counted) for counted in Counted)
    active = Counted.ACTIVE if pick is Pick.SUBSTANCE else Counted.SUPPLIED
    return (Selector(pick, name, active),)


def _names(pick: Pick, bench: Bench) -> tuple[str, ...]:
    if pick is Pick.CLASS:
        return tuple(catalogue.class_meanings())
    if pick is Pick.SUBSTANCE:
        return tuple(dict.fromkeys((*bench.substances, *catalogue.substance_names())))
    if pick is Pick.MATERIAL:
        return _shelf(bench)
    borne = (tag for item in bench.shelf for tag in item.material.tags)
    return tuple(dict.fromkeys((*borne, *catalogue.tags())))


def _rule(name: str, of: Selector) -> Without:
    return Without(name, Kind.HOUSE, "you asked for it", "", ASKED, None, of)


def _apart(rules: Iterable[Without], bench: Bench) -> tuple[Without, ...]:
    """The rules under ids that the brief does not use."""
    taken = {rule.id for rule in bench.brief.rules}
    named = []
    for rule in rules:
        name = rule.id
        while name in taken:
            name += " (asked)"
        taken.add(name)
        named.append(replace(rule, id=name))
    return tuple(named)


def off_the_shelf(start: Start, folder: str | Path) -> tuple[str, ...]:
    """Materials that are known, but neither on the shelf nor in the formulas."""
    there = set(_shelf(start.bench))
    return tuple(name for name in _stores(Path(folder)).material_names if name not in there)
