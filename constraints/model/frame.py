"""The shelf laid out as columns, so that a rule finds what it counts without a search."""

from collections import defaultdict
from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from operator import attrgetter
from typing import Generic, TypeVar

from .brief import Bench
from .material import Material, Span
from .rule import Counted, Pick, Selector
from .shelf import Item
from .substance import Substance

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Frame:
    """The columns of a bench and where each class, tag and substance stands among them.

    Args:
        materials: [n] the shelf, in shelf order.
        prices: [n] price of each [money/kg].
        substances: every substance that the shelf contains.
        index: material name -> its share column.
        choices: material name -> its choice column, after all share columns.
        classed: class -> columns of the materials of that class.
        tagged: tag -> columns of the materials so tagged.
        holding: substance -> (column, share in that material) for the materials that contain it.
        members: class -> the shelf's substances of that class.
        active: class -> column -> typical share of the class in that material [kg/kg].
        charges: charges that rules on pH have worked out, by what they depend on; saves work only.
    """

    materials: tuple[Material, ...]
    prices: tuple[float, ...]
    substances: Mapping[str, Substance]
    index: Mapping[str, int]
    choices: Mapping[str, int]
    classed: Mapping[str, tuple[int, ...]]
    tagged: Mapping[str, tuple[int, ...]]
    holding: Mapping[str, tuple[tuple[int, Span], ...]]
    members: Mapping[str, tuple[str, ...]]
    active: Mapping[str, Mapping[int, float]]
    charges: dict[Hashable, Sequence[float]] = field(
        default_factory=dict, repr=False, compare=False
    )


def frame_of(bench: Bench) -> Frame:
    """Lay a bench out as columns; a shelf that was just laid out is not laid out again."""
    chosen = tuple(sorted({name for rule in bench.brief.rules for name in rule.uses()}))
    return _laid_out(Same(bench.shelf), Same(bench.substances), chosen)


class Same(Generic[T]):
    """Something known by being that very one: what holds dictionaries has no hash."""

    __slots__ = ("thing",)

    def __init__(self, thing: T) -> None:
        self.thing = thing

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Same) and other.thing is self.thing

    def __hash__(self) -> int:
        return id(self.thing)


@lru_cache(maxsize=8)
def _laid_out(
    shelf: Same[tuple[Item, ...]], known: Same[Mapping[str, Substance]], chosen: tuple[str, ...]
) -> Frame:
    materials = tuple(item.material for item in shelf.thing)
    holding = _holding(materials)
    members = _members(holding, known.thing)
    return Frame(
        materials=materials,
        prices=tuple(item.price for item in shelf.thing),
        substances=known.thing,
        index={material.name: column for column, material in enumerate(materials)},
        choices={name: len(materials) + place for place, name in enumerate(chosen)},
        classed=_columns_by(material.classes for material in materials),
        tagged=_columns_by(material.tags for material in materials),
        holding=holding,
        members=members,
        active={name: _weighted(dict.fromkeys(of, 1.0), holding) for name, of in members.items()},
    )


def with_lots(frame: Frame, materials: tuple[Material, ...], prices: tuple[float, ...]) -> Frame:
    """The same shelf as other lots of its materials, at other prices [money/kg]."""
    holding = _holding(materials)
    return replace(
        frame,
        materials=materials,
        prices=prices,
        holding=holding,
        charges={},
        active={
            name: _weighted(dict.fromkeys(of, 1.0), holding) for name, of in frame.members.items()
        },
    )


def picked(selector: Selector, frame: Frame) -> Mapping[int, float]:
    """What a selector counts: column -> mass counted for each kg of the material [kg/kg].

    Active substances count at their typical share of the material.
    """
    return _of_any(selector, frame) if selector.also else _picked(selector, frame)


def _picked(selector: Selector, frame: Frame) -> Mapping[int, float]:
    if selector.pick is Pick.MATERIAL:
        return {frame.index[name]: 1.0 for name in (selector.name,) if name in frame.index}
    if selector.pick is Pick.TAG:
        return dict.fromkeys(frame.tagged.get(selector.name, ()), 1.0)
    if selector.pick in {Pick.FORM, Pick.PHASE}:
        return dict.fromkeys(_in_state(selector, frame), 1.0)
    if not selector.inside:
        return dict.fromkeys(whole_materials(selector, frame), 1.0)
    if selector.pick is Pick.CLASS:
        return frame.active.get(selector.name, {})
    return weighted({selector.name: 1.0}, frame)


def _of_any(selector: Selector, frame: Frame) -> Mapping[int, float]:
    """What any of several counts, each substance and each material once."""
    if not selector.inside:
        return dict.fromkeys(whole_materials(selector, frame), 1.0)
    named = (inci for one in selector.each for inci in _substances(one, frame))
    return weighted(dict.fromkeys(named, 1.0), frame)


def whole_materials(selector: Selector, frame: Frame) -> tuple[int, ...]:
    """Columns of the whole materials that a selector picks.

    A class picks the materials of that class; with active counting, and for a substance, every
    material that contains any of it.
    """
    if selector.also:
        columns = (column for one in selector.each for column in whole_materials(one, frame))
        return tuple(sorted(set(columns)))
    if selector.pick in {Pick.MATERIAL, Pick.TAG, Pick.FORM, Pick.PHASE}:
        return tuple(picked(selector, frame))
    if selector.pick is Pick.CLASS and selector.counted is Counted.SUPPLIED:
        return frame.classed.get(selector.name, ())
    held = (frame.holding.get(inci, ()) for inci in _substances(selector, frame))
    return tuple(sorted({column for entries in held for column, span in entries if span.high > 0}))


def _in_state(selector: Selector, frame: Frame) -> Iterable[int]:
    """Columns of the materials of a form, or of a phase."""
    for column, material in enumerate(frame.materials):
        state = material.form if selector.pick is Pick.FORM else material.phase
        if state == selector.name:
            yield column


def weighted(factors: Mapping[str, float], frame: Frame, end: str = "typical") -> dict[int, float]:
    """Column -> Σ factor · share over the substances [kg/kg], at one ``end`` of their ranges."""
    return _weighted(factors, frame.holding, end)


def _weighted(
    factors: Mapping[str, float],
    holding: Mapping[str, tuple[tuple[int, Span], ...]],
    end: str = "typical",
) -> dict[int, float]:
    share_at = attrgetter(end)
    counted: defaultdict[int, float] = defaultdict(float)
    for inci, factor in factors.items():
        for column, span in holding.get(inci, ()):
            counted[column] += factor * share_at(span)
    return dict(counted)


def _substances(selector: Selector, frame: Frame) -> tuple[str, ...]:
    if selector.pick is Pick.CLASS:
        return frame.members.get(selector.name, ())
    return (selector.name,)


def _members(
    holding: Iterable[str], substances: Mapping[str, Substance]
) -> dict[str, tuple[str, ...]]:
    members: defaultdict[str, list[str]] = defaultdict(list)
    for inci in holding:
        for name in substances[inci].classes:
            members[name].append(inci)
    return {name: tuple(found) for name, found in members.items()}


def _columns_by(words: Iterable[Iterable[str]]) -> dict[str, tuple[int, ...]]:
    columns: defaultdict[str, list[int]] = defaultdict(list)
    for column, names in enumerate(words):
        for name in names:
            columns[name].append(column)
    return {name: tuple(found) for name, found in columns.items()}


def _holding(materials: Iterable[Material]) -> dict[str, tuple[tuple[int, Span], ...]]:
    held: defaultdict[str, list[tuple[int, Span]]] = defaultdict(list)
    for column, material in enumerate(materials):
        for inci, span in material.contents.items():
            held[inci].append((column, span))
    return {inci: tuple(entries) for inci, entries in held.items()}
