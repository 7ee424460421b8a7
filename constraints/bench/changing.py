"""A formula that is to be changed: what it held, what may not be used, what is new.

The formula may hold materials that are not on the shelf any more. They are known to the catalogue
or to the maker's own materials, so that what the bar contained can still be told; they come onto
the bench as items that cannot be had.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from ..model.brief import Bench, Composition, Written
from ..model.rule import Limited, Rule
from ..model.shelf import Item
from ..model.stores import Stores
from ..model.substance import Substance
from ..values.names import Called, asked_name
from ..values.problem import Problem, Problems
from ..values.units import Dimension, Misread, parse
from .avoiding import apart, avoided, unused
from .files import MATERIALS
from .reading import contained, read_bench, read_formula, rules_over, stores_in
from .wish import ASKED, Start, Wish


def read_start(folder: str | Path, formulas: Iterable[str | Path], wish: Wish) -> Start | Problems:
    """Read a bench and formulas, and what is to change, or every problem in them."""
    bench = read_bench(folder)
    if isinstance(bench, Problems):
        return bench
    known = bench.stores.material_names
    return start_of(bench, [read_formula(path, bench, known) for path in formulas], wish)


def start_of(
    bench: Bench, formulas: Iterable[Composition | Problems], wish: Wish
) -> Start | Problems:
    """Where a change of a bench's formulas starts, or every problem in them and in the wish."""
    read = tuple(formulas)
    problems = [problem for one in read if isinstance(one, Problems) for problem in one.items]
    held = tuple(one for one in read if isinstance(one, Composition))
    known = bench.known_names
    prices = _prices(wish.prices or {}, known, bench, problems)
    wanted = _wanted(wish.wanted, known, prices, bench, problems)
    parts = tuple(dict.fromkeys(name for one in held for name in one.parts))
    there = Called({name: name for name in parts} | bench.names)
    without = tuple(dict.fromkeys(_without(wish.without, there, wanted, problems)))
    if problems:
        return Problems(tuple(problems))
    names = tuple(dict.fromkeys((*prices, *parts)))
    wide = with_materials(bench, (_beside(bench, name, prices.get(name)) for name in names))
    if isinstance(wide, Problems):
        return wide
    rules = (*unused(without, wide), *avoided(wish.avoid, wide, problems))
    if problems:
        return Problems(tuple(problems))
    unpriced = frozenset(parts) - frozenset(bench.material_names) - prices.keys()
    named = apart(rules, wide)
    ids = tuple(rule.id for rule in named)
    return Start(wide.with_rules(named), held, without, wanted, unpriced, ids)


def with_materials(bench: Bench, items: Iterable[Item]) -> Bench | Problems:
    """The bench with more materials at the end of its shelf; those that stand there stay.

    Whatever the brief says of every material on the shelf, it then says of these too. Limits moved
    and rules added or given up since the bench was read stay so.

    Returns:
        The wider bench, or why the brief does not bear it.
    """
    there = set(bench.material_names)
    new = {item.material.name: item for item in items if item.material.name not in there}
    return _reshelved(bench, (*bench.shelf, *new.values()), bench.stores) if new else bench


def with_free(bench: Bench, names: Iterable[str]) -> Bench | Problems:
    """The bench with known materials at the end of its shelf, as if they cost nothing.

    Whoever asks must not mind what they cost.

    Raises:
        KeyError: when one of them is not known.
    """
    return with_materials(bench, (_beside(bench, name, 0.0) for name in names))


def borne_by(bench: Bench, names: Iterable[str]) -> tuple[tuple[str, ...], Bench]:
    """Those of some known materials that the brief bears on the shelf, and the bench with them.

    One of which a figure is not known that a rule counts is left out. They stand on the shelf as
    if they cost nothing.
    """
    several = tuple(names)
    wide = with_free(bench, several)
    if isinstance(wide, Bench):
        return several, wide
    borne = tuple(name for name in several if isinstance(with_free(bench, (name,)), Bench))
    wide = with_free(bench, borne)
    return (borne, wide) if isinstance(wide, Bench) else ((), bench)


def with_stores(bench: Bench, own: str | bytes) -> Bench | Problems:
    """The bench with another content of its file of materials."""
    problems: list[Problem] = []
    files = {**(bench.written.files if bench.written else {}), MATERIALS: own}
    stores = stores_in(files, problems)
    if problems:
        return Problems(tuple(problems))
    shelf = tuple(
        replace(item, material=stores.material(item.material.name)) for item in bench.shelf
    )
    changed = _reshelved(bench, shelf, stores)
    if isinstance(changed, Problems) or changed.written is None:
        return changed
    return replace(changed, written=replace(changed.written, files=files))


def _reshelved(bench: Bench, shelf: tuple[Item, ...], stores: Stores) -> Bench | Problems:
    """The bench over another shelf, its rules read again for what stands there."""
    wide = replace(bench, shelf=shelf, substances=_substances(bench, shelf, stores), stores=stores)
    if bench.written is None:
        return wide
    again = rules_over(bench.written.files, shelf, stores)
    if isinstance(again, Problems):
        return again
    rules = _as_changed(bench.written.rules, bench.brief.rules, again)
    written = Written(bench.written.files, again)
    return replace(wide, brief=replace(bench.brief, rules=rules), written=written)


def _substances(bench: Bench, shelf: tuple[Item, ...], stores: Stores) -> Mapping[str, Substance]:
    if bench.written is not None:
        return contained(shelf, stores)
    new = (inci for item in shelf for inci in item.material.contents)
    return {inci: bench.substances.get(inci) or stores.substance(inci) for inci in new}


def _as_changed(
    before: tuple[Rule, ...], now: tuple[Rule, ...], again: tuple[Rule, ...]
) -> tuple[Rule, ...]:
    """Rules read again, with what had been changed of them since they were first read."""
    first = {rule.id: rule for rule in before}
    standing = {rule.id: rule for rule in now}
    kept = (
        _with_limits(rule, standing.get(rule.id))
        for rule in again
        if rule.id in standing or rule.id not in first
    )
    return (*kept, *(rule for rule in now if rule.id not in first))


def _with_limits(rule: Rule, standing: Rule | None) -> Rule:
    if isinstance(rule, Limited) and isinstance(standing, Limited):
        return replace(rule, low=standing.low, high=standing.high)
    return rule


def _beside(bench: Bench, name: str, price: float | None) -> Item:
    """A known material to stand beside the shelf; without a price it cannot be had."""
    return Item(
        material=bench.stores.material(name),
        price=price or 0.0,
        pack=1.0,
        stock=None,
        available=price is not None,
        note="it is not on the shelf" if price is None else "",
        where=ASKED,
    )


def _prices(
    written: Mapping[str, str], known: Iterable[str], bench: Bench, problems: list[Problem]
) -> dict[str, float]:
    prices: dict[str, float] = {}
    for text, price in written.items():
        name = _named(text, known, problems)
        read = parse(price, Dimension.PRICE, {bench.brief.currency: 1.0})
        if isinstance(read, Misread):
            problems.append(Problem(ASKED, read.found or "no price", read.expected, read.nearest))
        elif name in bench.material_names:
            problems.append(
                Problem(ASKED, f"a price for {name}", "one for a material that is not on the shelf")
            )
        elif name is not None:
            prices[name] = read
    return prices


def _wanted(
    names: Iterable[str],
    known: Iterable[str],
    prices: Mapping[str, float],
    bench: Bench,
    problems: list[Problem],
) -> tuple[str, ...]:
    found = [name for text in names if (name := _named(text, known, problems)) is not None]
    for name in found:
        if name not in bench.material_names and name not in prices:
            price = f'a line for it in shelf.csv, or --price "{name}=20 {bench.brief.currency}/kg"'
            problems.append(Problem(ASKED, f"{name}, which is not on the shelf", price))
        elif name in bench.material_names and not bench.item(name).available:
            problems.append(
                Problem(
                    bench.item(name).where,
                    f"{name}, marked as not available",
                    "yes under available, if it is to come in",
                )
            )
    return tuple(dict.fromkeys(found))


def _without(
    names: Iterable[str], there: Iterable[str], wanted: Iterable[str], problems: list[Problem]
) -> Iterator[str]:
    for text in dict.fromkeys(names):
        name = _named(text, there, problems)
        if name is not None and name in wanted:
            problems.append(Problem(ASKED, f"{name} with and without", "one or the other"))
        elif name is not None:
            yield name


def _named(text: str, known: Iterable[str], problems: list[Problem]) -> str | None:
    name = asked_name(ASKED, text, known, "a known material")
    if isinstance(name, Problem):
        problems.append(name)
        return None
    return name
