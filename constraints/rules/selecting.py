"""What the names in a rule mean, on the shelf and in the catalogue."""

from collections.abc import Iterable
from dataclasses import replace

from ..model.mix import fits, fits_substance
from ..model.rule import BY_NAME, Counted, Pick, Selector
from ..model.shelf import called
from ..values.names import folded, meant_by, nearest_names, spelt
from ..values.table import Table
from ..values.units import shown
from .scene import Scene


def selector_of(entry: Table, key: str, scene: Scene) -> Selector | None:
    """What a key names: a class, a substance, a material or a tag."""
    text = entry.text(key, "the name of a class, a substance, a material or a tag")
    if text is None:
        return None
    prefix, _, rest = text.partition(":")
    if rest and prefix in set(Pick):
        return selected(entry, key, rest.strip(), (Pick(prefix),), scene)
    return selected(entry, key, text, BY_NAME, scene)


def selected(
    entry: Table, key: str, name: str, picks: tuple[Pick, ...], scene: Scene
) -> Selector | None:
    """What a name means among some kinds of thing; an unknown or ambiguous one is noted."""
    known = {pick: scene.names(pick) for pick in picks}
    found = {pick: meant_by(name, names) for pick, names in known.items() if name in names} or {
        pick: same for pick, names in known.items() if (same := spelt(name, names)) is not None
    }
    if len(found) == 1:
        ((pick, same),) = found.items()
        return Selector(pick, same, Counted.ACTIVE if pick is Pick.SUBSTANCE else Counted.SUPPLIED)
    if found:
        ways = " or ".join(f"{pick}:{same}" for pick, same in found.items())
        entry.refuse(
            f"{shown(name)}, which is {' and '.join(f'a {pick}' for pick in found)}", ways, key
        )
    elif not _excused(name, scene):
        every = tuple(dict.fromkeys(one for names in known.values() for one in names))
        expected = " or ".join(f"a known {pick}" for pick in picks)
        entry.refuse(shown(name), expected, key, nearest=nearest_names(name, every))
    return None


def _excused(name: str, scene: Scene) -> bool:
    """A name that stands where it could not be read has its problem already."""
    return folded(name) in {folded(one) for one in scene.spoilt}


def counted(entry: Table, selectors: Iterable[Selector | None]) -> tuple[Selector | None, ...]:
    """Classes counted as the rule says; a substance is always active, a material always whole."""
    several = tuple(selectors)
    said = entry.word("count", Counted)
    classes = [one for one in several if one and one.pick is Pick.CLASS]
    if classes and "count" not in entry:
        expected = 'count = "active" (the substances) or "supplied" (the materials as weighed)'
        entry.lack("count", expected)
    if said and several and all(several) and not classes:
        own = {one.counted for one in several if one}
        if said not in own:
            entry.refuse(said, no_count(*sorted(own)), "count")
    return tuple(
        replace(one, counted=said) if one and said and one.pick is Pick.CLASS else one
        for one in several
    )


def no_count(*own: str) -> str:
    """What belongs in place of a count that contradicts what is counted."""
    return f"{' and '.join(own)}, as it is no class; or no count at all"


def _carried(selector: Selector, scene: Scene) -> bool:
    """Whether anything on the shelf has what is picked."""
    if selector.inside:
        return any(fits_substance(selector, one) for one in scene.substances.values())
    return any(fits(selector, one, scene.substances) for one in scene.materials)


def must_be_there(entry: Table, key: str, selector: Selector, scene: Scene) -> None:
    """Note where a rule can only be kept by something of which the shelf has none."""
    if scene.complete and not _carried(selector, scene):
        found = f"{shown(selector.name)}, of which the shelf has none"
        entry.refuse(found, "something on the shelf that counts", key)


def on_shelf(entry: Table, key: str, name: str, scene: Scene) -> str | None:
    """The shelf's name of a material, or ``None`` with the problem noted."""
    names = called(scene.items)
    found = spelt(name, names)
    in_catalogue = spelt(name, scene.names(Pick.MATERIAL)) is not None
    if found is None and not _excused(name, scene) and not (in_catalogue and not scene.listed):
        expected = "a material on the shelf" + ("; add it to shelf.csv" if in_catalogue else "")
        near = () if in_catalogue else nearest_names(name, names)
        entry.refuse(shown(name), expected, key, nearest=near)
    return found
