"""What the law says that no rule of a brief can hold: conditions on purchase, changes to come."""

from dataclasses import dataclass
from functools import cache

from ..data import data_of
from ..model.brief import Bench, Composition
from ..values.problem import Source, SourceKind


@dataclass(frozen=True, slots=True)
class Notice:
    """A condition of law, or a change of it.

    Args:
        name: what it is about.
        market: "EU", "AU" or "US".
        substances: those that it touches.
        classes: it touches every substance of these too.
        tags: and every material with one of these.
        pending: whether it is not in force yet, or its state was not found.
        placing: day from which it holds for what is placed on the market (ISO), empty where none.
        available: day from which it holds for what is still on sale (ISO), empty where none.
        text: what it says.
        source: citation and the day it was read.
    """

    name: str
    market: str
    substances: frozenset[str]
    classes: frozenset[str]
    tags: frozenset[str]
    pending: bool
    placing: str
    available: str
    text: str
    source: Source


@cache
def notices(market: str) -> tuple[Notice, ...]:
    """What is packaged for a market, in file order."""
    data = data_of("notices.toml")
    read = data["_defaults"]["read"]
    return tuple(
        _notice(name, entry, read)
        for name, entry in data.items()
        if not name.startswith("_") and entry["market"] == market
    )


def touching(bench: Bench, composition: Composition, market: str) -> tuple[Notice, ...]:
    """Those of a market's notices that touch a composition, what is in force first.

    Raises:
        KeyError: when a material of the composition is not on the shelf.
    """
    used = [material for material, share in bench.parts_of(composition) if share > 0]
    inside = {inci for material in used for inci in material.contents}
    classes = {each for inci in inside for each in bench.substances[inci].classes}
    tags = {tag for material in used for tag in material.tags}
    found = (
        one
        for one in notices(market)
        if one.substances & inside or one.classes & classes or one.tags & tags
    )
    return tuple(sorted(found, key=lambda one: one.pending))


def _notice(name: str, entry: dict[str, object], read: str) -> Notice:
    words = {key: frozenset(_list(entry, key)) for key in ("substances", "classes", "tags")}
    return Notice(
        name=name,
        market=str(entry["market"]),
        **words,
        pending=bool(entry.get("pending", False)),
        placing=str(entry.get("placing", "")),
        available=str(entry.get("available", "")),
        text=str(entry["text"]),
        source=Source(
            str(entry["citation"]), SourceKind[str(entry.get("kind", "law")).upper()], read
        ),
    )


def _list(entry: dict[str, object], key: str) -> list[str]:
    written = entry.get(key, [])
    return [str(one) for one in written] if isinstance(written, list) else []
