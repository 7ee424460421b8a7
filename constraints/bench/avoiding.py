"""What a change is not to use any more, as rules of whoever asks for it."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from ..catalogue import catalogue
from ..model.brief import Bench
from ..model.material import Form, Phase
from ..model.rule import BY_NAME, Counted, Kind, Pick, Selector
from ..rules.share import Share, none_of
from ..values.names import nearest_names, spelt
from ..values.problem import Problem
from ..values.units import shown
from .wish import ASKED

if TYPE_CHECKING:
    from ..rules.written import Common


def unused(names: Iterable[str], bench: Bench) -> Iterator[Share]:
    """Rules for what is still on the shelf; what is not has its rule already."""
    for name in names:
        if bench.item(name).available:
            yield _rule(f"without {name}", Selector(Pick.MATERIAL, name, Counted.SUPPLIED))


def avoided(names: Iterable[str], bench: Bench, problems: list[Problem]) -> Iterator[Share]:
    """Rules against substances, classes or tags, as they are asked for."""
    for text in dict.fromkeys(names):
        pick, _, bare = text.partition(":")
        picks: tuple[Pick, ...] = (Pick(pick),) if bare and pick in set(Pick) else BY_NAME
        if picks == (Pick.TAG,) and spelt(bare.strip(), _names(Pick.CLASS, bench)) is not None:
            picks = (
                Pick.CLASS,
                Pick.TAG,
            )  # what is one without bearing the tag is one all the same
        yield from _avoiding(text if picks is BY_NAME else bare.strip(), picks, bench, problems)


def _avoiding(
    text: str, picks: tuple[Pick, ...], bench: Bench, problems: list[Problem]
) -> Iterator[Share]:
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


def _names(pick: Pick, bench: Bench) -> Iterable[str]:
    if pick is Pick.CLASS:
        return tuple(catalogue.class_meanings())
    if pick is Pick.SUBSTANCE:
        return tuple(dict.fromkeys((*bench.substances, *catalogue.substance_names())))
    if pick is Pick.MATERIAL:
        return bench.names
    if pick is Pick.FORM:
        return tuple(Form)
    if pick is Pick.PHASE:
        return tuple(Phase)
    borne = (tag for item in bench.shelf for tag in item.material.tags)
    return tuple(dict.fromkeys((*borne, *catalogue.tags())))


def _rule(name: str, of: Selector) -> Share:
    common: Common = {
        "id": name,
        "kind": Kind.HOUSE,
        "because": "you asked for it",
        "where": ASKED,
        "source": None,
    }
    return none_of(common, of)


def apart(rules: Iterable[Share], bench: Bench) -> tuple[Share, ...]:
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
