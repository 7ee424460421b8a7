"""A bench that knows what was read of its bars, and the set of lots that the readings leave.

Typical figures move as little as they can for the readings to be true of them: all residual
alkalinities together, each by the same share of what is known of it; contents only where these are
not enough. What the readings leave of each alkalinity on its own becomes its range.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import inf

from ...constraints.acidity.cuts import Taken, cuts_of
from ...constraints.acidity.ranges import ranges_of
from ...constraints.acidity.unknown import alkalinity_of
from ...constraints.model.brief import Bench
from ...constraints.model.material import Material, Span
from ...constraints.model.row import Row, row
from ...constraints.model.shelf import Item
from ...constraints.model.substance import Substance
from ...constraints.model.uncertainty import Cut, Uncertainty
from ...constraints.values.problem import Problem, Problems, Where
from ...constraints.values.told import Told
from ..calibration.narrowing import Narrowed
from ..calibration.sampling import Sample
from ..program.outcome import Optimal, Program
from ..program.session import solve
from .draws import going_with
from .tied import Tied, with_cuts

_MIDDLE = 1e4  # so that a reading stands in its middle before figures stay where they are
_FEW = 100  # lots in 600,000: what so few give is more likely misread or misjudged than true
_SAME = 1e-9  # [mol/kg]; ends that differ by less were not narrowed


@dataclass(frozen=True, slots=True, repr=False)
class Informed(Told):
    """A bench and the lots that readings of its bars leave possible.

    Args:
        bench: with typical figures that the readings bear out.
        within: the set, cut by the readings.
        narrowed: what they leave of the alkalinity of each material by itself.
        readings: by name, as they were given.
    """

    bench: Bench
    within: Uncertainty
    narrowed: tuple[Narrowed, ...]
    readings: tuple[str, ...]


def taken_of(sample: Sample) -> tuple[Taken, ...]:
    """Readings of a bar, each with what was in the beaker by then.

    Args:
        sample: of a bar made from lots that are still there.
    """
    readings = sample.readings
    whole = sum(share for _, share in sample.parts)
    parts = {one.name: readings.sample * share / whole for one, share in sample.parts if share}
    known = {one.name: one for one, share in sample.parts if share}
    within = readings.instrument.within
    return tuple(
        Taken(
            name=f"{readings.where.file}, reading {number}",
            parts=parts,
            materials=known,
            fixed=() if sample.added is None else ((sample.added, mass),),
            water=readings.water,
            ph=(ph - within, ph + within),
            read=ph,
        )
        for number, (mass, ph) in enumerate(readings.points, start=1)
    )


def informed(bench: Bench, readings: Sequence[Taken], within: Uncertainty) -> Informed | Problems:
    """Let readings of bars cut the set of lots that may come.

    Args:
        bench: what was read.
        readings: of bars made from lots that are still there, in part at least.
        within: the set without them.

    Returns:
        The bench and the set, or the smallest set of readings that cannot all be true.
    """
    if not readings:
        return Informed(bench, within, (), ())
    cuts = [cut for one in readings for cut in cuts_of(one, _substances(bench, one))]
    materials = {name: known for one in readings for name, known in one.materials.items()}
    centre = _nearest(materials, cuts)
    if centre is None:
        return Problems((_clash(materials, cuts),))
    moved = {name: _moved(materials[name], figures) for name, figures in centre.items()}
    tied = Tied(moved, tuple(cuts))
    ends = {name: _ends(tied, name) for name in moved if name in bench.material_names}
    less = tuple(_narrowed(materials[name], moved[name], end) for name, end in ends.items())
    narrowed = tuple(one for one in less if one is not None)
    spans = {one.material: one.after for one in narrowed}
    known = {
        name: replace(one, alkalinity=spans.get(name, one.alkalinity))
        for name, one in moved.items()
    }
    shelf = tuple(_known(item, known) for item in bench.shelf)
    names = tuple(one.name for one in readings)
    left = with_cuts(within, known, cuts)
    if going_with(left) < _FEW:
        return Problems((_hardly(names),))
    return Informed(replace(bench, shelf=shelf), left, narrowed, names)


def _hardly(names: tuple[str, ...]) -> Problem:
    found = "readings that next to no lots give" if len(names) > 1 else "next to no lots read so"
    expected = "readings within reach of what is known of the materials; wider ranges, or less sure"
    return Problem(Where(" and ".join(names)), found, f"{expected} an instrument")


def _substances(bench: Bench, one: Taken) -> Mapping[str, Substance]:
    every = (*one.materials.values(), *(material for material, _ in one.fixed))
    named = dict.fromkeys(inci for material in every for inci in material.contents)
    return {
        inci: bench.substances[inci] if inci in bench.substances else bench.stores.substance(inci)
        for inci in named
    }


def _known(item: Item, known: Mapping[str, Material]) -> Item:
    return replace(item, material=known.get(item.material.name, item.material))


def _nearest(
    materials: Mapping[str, Material], cuts: Sequence[Cut]
) -> Mapping[str, tuple[float, ...]] | None:
    """Figures that keep all cuts and lie nearest to the typical ones; ``None`` where none do."""
    for contents_too in (False, True):
        outcome = solve(_nearness(materials, cuts, contents_too=contents_too))
        if isinstance(outcome, Optimal):
            figures = iter(outcome.x[1:])
            return {
                name: tuple(next(figures) for _ in (*one.contents, "alkalinity"))
                for name, one in materials.items()
            }
    return None


def _nearness(
    materials: Mapping[str, Material], cuts: Sequence[Cut], *, contents_too: bool
) -> Program:
    """Figures by which each reading stands in the middle of what it may be, near to typical ones.

    The first column is the share of its room by which the figure moves that moves most; a column
    for each reading at the end is how far it lies off its middle.
    """
    tied = Tied(materials, tuple(cuts))
    spans = [span for name in materials for span in tied.spans(Uncertainty(), name)]
    alkaline = _alkaline(materials)
    rows = [_behind(one) for one in tied.program(Uncertainty()).rows]
    for place, span in enumerate(spans, start=1):
        up, down = span.high - span.typical, span.low - span.typical
        rows.append(row("near", "above", {place: 1.0, 0: -up}, -inf, span.typical))
        rows.append(row("near", "below", {place: 1.0, 0: -down}, span.typical, inf))
    pairs = list(zip(rows[len(materials) :: 2], rows[len(materials) + 1 :: 2], strict=False))
    pairs = pairs[: len(cuts) // 2]
    for off, (low, high) in enumerate(pairs, start=1 + len(spans)):
        rows += _off_middle(low, high, off)
    ends = [
        (span.low, span.high) if contents_too or place in alkaline else (span.typical, span.typical)
        for place, span in enumerate(spans)
    ]
    return Program(
        costs=(1.0, *(0.0,) * len(spans), *(_MIDDLE,) * len(pairs)),
        lower=(0.0, *(low for low, _ in ends), *(0.0,) * len(pairs)),
        upper=(1.0, *(high for _, high in ends), *(inf,) * len(pairs)),
        whole=(False,) * (1 + len(spans) + len(pairs)),
        rows=tuple(rows),
    )


def _off_middle(low: Row, high: Row, off: int) -> list[Row]:
    """The room that one side of a reading has more than the other is at most what is off."""
    values = dict(zip(low.columns, low.values, strict=True))
    for column, value in zip(high.columns, high.values, strict=True):
        values[column] = values.get(column, 0.0) - value
    middle = low.low - high.low
    return [
        row("middle", "above", {**values, off: -1.0}, -inf, middle),
        row("middle", "below", {**values, off: 1.0}, middle, inf),
    ]


def _alkaline(materials: Mapping[str, Material]) -> frozenset[int]:
    """Places of the residual alkalinities among the figures of all lots."""
    found, place = set(), -1
    for one in materials.values():
        place += len(one.contents) + 1
        found.add(place)
    return frozenset(found)


def _behind(one: Row) -> Row:
    return replace(one, columns=tuple(column + 1 for column in one.columns))


def _moved(material: Material, figures: Sequence[float]) -> Material:
    """A material whose typical figures are these, within the ranges that it has."""
    *contents, alkalinity = figures
    spans = {
        inci: Span(span.low, min(max(content, span.low), span.high), span.high)
        for (inci, span), content in zip(material.contents.items(), contents, strict=True)
    }
    base = alkalinity_of(material)
    if material.alkalinity is None and abs(alkalinity - base.typical) <= _SAME:
        return replace(material, contents=spans)
    typical = min(max(alkalinity, base.low), base.high)
    return replace(material, contents=spans, alkalinity=Span(base.low, typical, base.high))


def _ends(tied: Tied, name: str) -> tuple[float, float]:
    """Least and most residual alkalinity of one lot."""
    width = len(tied.materials[name].contents)
    found = [
        tied(Uncertainty(), {name: (*(0.0,) * width, sense)})[name][-1] for sense in (1.0, -1.0)
    ]
    return found[0], found[1]


def _narrowed(before: Material, after: Material, ends: tuple[float, float]) -> Narrowed | None:
    whole = ranges_of(Uncertainty(), before, 0.0).alkalinity
    typical = ranges_of(Uncertainty(), after, 0.0).alkalinity.typical
    low, high = max(whole.low, ends[0]), min(whole.high, ends[1])
    same = low <= whole.low + _SAME and high >= whole.high - _SAME
    if same and abs(typical - whole.typical) <= _SAME:
        return None
    span = Span(min(low, typical), typical, max(high, typical))
    return Narrowed(before.name, before.alkalinity, span)


def _clash(materials: Mapping[str, Material], cuts: Sequence[Cut]) -> Problem:
    """The smallest set of readings that cannot all be true of lots within what is known."""
    group = _smallest(tuple(dict.fromkeys(cut.reading for cut in cuts)), materials, cuts)
    said = " and ".join(group)
    if len(group) == 1:
        expected = "a reading that lots within what is known of them can give"
        return Problem(Where(group[0]), "a reading that no lots give", expected)
    return Problem(Where(said), "readings that cannot all be true", "readings that agree")


def _smallest(
    names: tuple[str, ...], materials: Mapping[str, Material], cuts: Sequence[Cut]
) -> tuple[str, ...]:
    """One or two that clash; else some of which each is needed for it."""
    for size in (1, 2):
        for group in combinations(names, size):
            if _cannot(materials, cuts, group):
                return group
    left = names
    for name in names:
        fewer = tuple(one for one in left if one != name)
        left = fewer if _cannot(materials, cuts, fewer) else left
    return left


def _cannot(materials: Mapping[str, Material], cuts: Sequence[Cut], group: Sequence[str]) -> bool:
    some = tuple(cut for cut in cuts if cut.reading in group)
    return not isinstance(solve(Tied(materials, some).program(Uncertainty())), Optimal)
