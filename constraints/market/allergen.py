"""Fragrance allergens that a market wants named, read from the packaged list."""

from collections import Counter
from dataclasses import dataclass
from functools import cache

from ..data import data_of
from ..model.substance import Substance
from ..values.problem import Source, SourceKind
from ..values.units import Dimension, Misread, parse


@dataclass(frozen=True, slots=True)
class Allergen:
    """An entry of the list.

    Args:
        label: the name that the entry fixes for the list of ingredients.
        entry: its number in the annex.
        cas: registry numbers that it covers.
        names: names on ingredient lists of what it covers.
        since: "first list" or "2023".
    """

    label: str
    entry: str
    cas: tuple[str, ...]
    names: tuple[str, ...]
    since: str


@dataclass(frozen=True, slots=True)
class Naming:
    """When a market wants an allergen named in a product that is rinsed off.

    Args:
        over: an allergen is named when its share of the product exceeds this [kg/kg].
        new_stock_from: date after which the whole list holds for what is placed on the market.
        all_stock_from: date after which it holds for what is still on sale.
        note: what a maker should know of it.
        caution: what it does not replace.
        source: where it stands.
    """

    over: float
    new_stock_from: str
    all_stock_from: str
    note: str
    caution: str
    source: Source


@cache
def naming(market: str) -> Naming | None:
    """The market's rule for naming allergens; ``None`` where none was read."""
    rule = data_of("allergens.toml")["_market"].get(market)
    if rule is None:
        return None
    over = parse(rule["rinse_off_over"], Dimension.SHARE)
    if isinstance(over, Misread):
        raise TypeError(over)
    return Naming(
        over=over,
        new_stock_from=rule["new_stock_from"],
        all_stock_from=rule["all_stock_from"],
        note=rule["note"],
        caution=rule["caution"],
        source=Source(rule["source"], SourceKind[rule["kind"].upper()], rule["read"]),
    )


@cache
def allergens() -> tuple[Allergen, ...]:
    """The list, in the order of the packaged file."""
    return tuple(
        Allergen(
            label=label,
            entry=entry["entry"],
            cas=tuple(entry["cas"]),
            names=tuple(entry.get("names", ())),
            since=entry["since"],
        )
        for label, entry in data_of("allergens.toml").items()
        if not label.startswith("_")
    )


def entries_of(substance: Substance) -> tuple[Allergen, ...]:
    """The entries that cover a substance: none, one, or several that cannot be told apart.

    A name decides; without one a registry number that a single entry has; without that every
    entry with one of its registry numbers.
    """
    named = _by_name().get(substance.inci.casefold())
    if named is not None:
        return (named,)
    sharing = [entry for entry in allergens() if set(entry.cas) & set(substance.cas)]
    alone = [
        entry
        for entry in sharing
        if any(number in entry.cas and _bearers()[number] == 1 for number in substance.cas)
    ]
    return tuple(alone or sharing)


@cache
def _by_name() -> dict[str, Allergen]:
    return {name.casefold(): entry for entry in allergens() for name in (entry.label, *entry.names)}


@cache
def _bearers() -> Counter[str]:
    """Registry number -> number of entries that have it."""
    return Counter(number for entry in allergens() for number in entry.cas)
