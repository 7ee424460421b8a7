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
    """What a key names: a class, a substance, a material or a tag, or several of them.

    Several are a list, or stand in one text with `` + `` between them: what any of them picks
    counts, each thing once.
    """
    if isinstance(entry.values.get(key), list):
        texts = entry.names(key, f'{_NAMED}, or a list such as ["class:anionic"]')
        if not texts:
            entry.refuse("an empty list", "the names of what is counted", key)
    else:
        said = entry.text(key, _NAMED)
        texts = () if said is None else _apart(said, scene)
    found = [selector_named(entry, key, text, scene) for text in texts]
    if not found or any(one is None for one in found):
        return None
    first, *others = dict.fromkeys(one for one in found if one is not None)
    if len(others) + 1 < len(found):
        entry.refuse(f"{shown(first.name)} twice", "each name once", key)
    return replace(first, also=tuple(others))


_NAMED = "the name of a class, a substance, a material or a tag"


def _apart(said: str, scene: Scene) -> tuple[str, ...]:
    """The names in a text; a name that has a plus sign of its own stays whole."""
    whole = any(spelt(said, scene.names(pick)) is not None for pick in BY_NAME)
    return (said,) if whole else tuple(one.strip() for one in said.split(" + "))


def selector_named(entry: Table, key: str, text: str, scene: Scene) -> Selector | None:
    """What one name picks, its kind before it where that is said."""
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
    parts = [part for one in several if one for part in one.each]
    classes = [one for one in parts if one.pick is Pick.CLASS]
    if classes and "count" not in entry:
        expected = 'count = "active" (the substances) or "supplied" (the materials as weighed)'
        entry.lack("count", expected)
    if said and several and all(several) and not classes:
        own = {one.counted for one in parts}
        if said not in own:
            entry.refuse(said, no_count(*sorted(own)), "count")
    made = tuple(one if one is None or said is None else _by(one, said) for one in several)
    for one in made:
        if one is not None and len({part.inside for part in one.each}) > 1:
            entry.refuse(shown(one.said), _ALIKE)
    return made


_ALIKE = (
    "names that count alike: substances and classes counted as active, or materials, tags and "
    "classes counted as supplied"
)


def _by(selector: Selector, said: Counted) -> Selector:
    """A selector whose classes are counted as the rule says."""
    first, *others = (
        replace(one, counted=said) if one.pick is Pick.CLASS else one for one in selector.each
    )
    return replace(first, also=tuple(others))


def no_count(*own: str) -> str:
    """What belongs in place of a count that contradicts what is counted."""
    return f"{' and '.join(own)}, as it is no class; or no count at all"


def carried(selector: Selector, scene: Scene) -> bool:
    """Whether anything on the shelf has what is picked."""
    if selector.inside:
        return any(fits_substance(selector, one) for one in scene.substances.values())
    return any(fits(selector, one, scene.substances) for one in scene.materials)


def must_be_there(entry: Table, key: str, selector: Selector, scene: Scene) -> None:
    """Note where a rule can only be kept by something of which the shelf has none."""
    if scene.complete and not carried(selector, scene):
        found = f"{shown(selector.said)}, of which the shelf has none"
        entry.refuse(found, "something on the shelf that counts", key)


def on_shelf(entry: Table, key: str, name: str, scene: Scene) -> str | None:
    """The shelf's name of a material, or ``None`` with the problem noted."""
    names = called(scene.items)
    found = spelt(name, names)
    in_catalogue = spelt(name, scene.names(Pick.MATERIAL)) is not None
    if found is None and not _excused(name, scene) and not (in_catalogue and not scene.listed):
        stays = '; add it to shelf.csv, with "no" under available where it cannot be had'
        expected = f"a material on the shelf{stays if in_catalogue else ''}"
        near = () if in_catalogue else nearest_names(name, names)
        entry.refuse(shown(name), expected, key, nearest=near)
    return found
