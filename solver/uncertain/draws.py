"""Lots drawn from the uncertainty set.

Each figure is drawn from the triangle over its range with its peak at the typical value, which is
what least, typical and most say and nothing more. The contents of a lot are then brought to add to
one: all of them give way together, each by the same share of the room it has, so that none leaves
its range. That they must add up makes each of them vary less than its triangle alone.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np

from ...constraints.acidity.ranges import ranges_of
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.lots import Flags, Floats, Lots
from ...constraints.model.material import Span
from ...constraints.model.uncertainty import Ranges, Uncertainty
from ...constraints.rules.judging import mix_of
from .tied import Tied, least_at

SEED = 1
"""Of draws by which something is tuned or shown; the same figures every time."""

FRESH_SEED = 2
"""Of draws that verify: never those by which anything was tuned."""

DRAWS = 10_000

MOST_TIMES = 60
"""So many times as many lots as are wanted are drawn, before fewer are taken."""

NO_MORE = 1e-12
"""A reading missed by no more is kept [mol per kg of bar]."""


class Spread(StrEnum):
    """How draws fill the set.

    ``EVEN`` puts one draw in each of N equal slices of every figure, which settles means and shares
    with few draws; ``INDEPENDENT`` draws are what a confidence bound on a count rests on.
    """

    EVEN = "even"
    INDEPENDENT = "independent"


def drawn(
    bench: Bench,
    composition: Composition,
    within: Uncertainty | None = None,
    *,
    count: int = DRAWS,
    seed: int = SEED,
    spread: Spread = Spread.EVEN,
) -> Lots:
    """A composition made from lots drawn at random, the same for the same seed.

    Args:
        bench: what was read.
        composition: what is made.
        within: the set; without it whatever the certificates allow.
        count: how many times it is made.
        seed: of the draws.
        spread: how they fill the set.

    Returns:
        So many lots; fewer, or none, where what was read goes with very few of those drawn.

    Raises:
        KeyError: when the composition names a material that is not on the shelf.
    """
    mix = mix_of(bench, composition)
    known = within or Uncertainty()
    wanted = _wanted(known, bench, [material.name for material, _, _ in mix.parts])
    found = _kept(known, wanted, count, [seed], spread)
    used = [found[material.name] for material, _, _ in mix.parts]
    return Lots(
        mix=mix,
        contents=tuple(contents for contents, _, _ in used),
        alkalinity=np.array([base for _, base, _ in used]).reshape(len(used), -1).T,
        prices=np.array([price for _, _, price in used]).reshape(len(used), -1).T,
    )


def lots_of(
    bench: Bench,
    names: Sequence[str],
    within: Uncertainty,
    seeds: Sequence[int],
    *,
    count: int,
    spread: Spread = Spread.EVEN,
) -> Mapping[str, Floats]:
    """Lots of some materials of a shelf that may come together, the same for the same seeds.

    Args:
        bench: what was read.
        names: of the materials.
        within: the set.
        seeds: of the draws.
        count: how many of each.
        spread: how they fill the set.

    Returns:
        material -> [N, its figures]: contents in declared order [kg/kg], then residual alkalinity
        [mol/kg]. Fewer, or none, where what was read goes with very few of those drawn.

    Raises:
        KeyError: when the shelf has no such material.
    """
    found = _kept(within, _wanted(within, bench, names), count, seeds, spread)
    drawn = {name: found[name] for name in names}
    return {name: np.column_stack([lots, base]) for name, (lots, base, _) in drawn.items()}


def _wanted(
    known: Uncertainty, bench: Bench, names: Sequence[str]
) -> dict[str, tuple[Ranges, int]]:
    """The ranges of materials, and the place that each has among all draws.

    Those that readings tie to them are drawn with them.
    """
    places = {name: place for place, name in enumerate(bench.material_names)}
    items = [bench.item(name) for name in names]
    wanted = {
        one.material.name: (ranges_of(known, one.material, one.price), places[one.material.name])
        for one in items
    }
    if isinstance(known.furthest, Tied):
        for place, (name, material) in enumerate(known.furthest.materials.items(), len(places)):
            wanted.setdefault(name, (ranges_of(known, material, 0.0), places.get(name, place)))
    return wanted


def _kept(
    known: Uncertainty,
    wanted: Mapping[str, tuple[Ranges, int]],
    count: int,
    seed: Sequence[int],
    spread: Spread,
) -> Mapping[str, "_Drawn"]:
    """Lots of each material, drawn until so many go with what was read of bars.

    Without readings that is at once. With them it is given up after ``MOST_TIMES`` as many.
    """
    some: list[Mapping[str, _Drawn]] = []
    there = 0
    for turn in range(MOST_TIMES if known.cuts else 1):
        seeds = [*seed] if not turn else [*seed, turn]
        drawn = {
            name: _lots(
                one.contents, one.alkalinity, one.price, _Seeded((*seeds, place), count, spread)
            )
            for name, (one, place) in wanted.items()
        }
        going = _going(known, drawn, count)
        some.append({name: _only(lots, going) for name, lots in drawn.items()})
        there += int(going.sum())
        if there >= count:
            break
    return {name: _together([one[name] for one in some], count) for name in wanted}


def _going(known: Uncertainty, drawn: Mapping[str, "_Drawn"], count: int) -> Flags:
    """[N] which of the draws go with what was read."""
    kept = np.ones(count, dtype=np.bool_)
    if not isinstance(known.furthest, Tied):
        return kept
    typical = known.furthest.typical()
    for cut in known.cuts:
        total = np.zeros(count)
        for name, weights in cut.weights.items():
            contents, base, _ = drawn[name]
            total += contents @ np.array(weights[:-1]) + weights[-1] * base
        kept &= total >= least_at(cut, typical, known.furthest.part(known)) - NO_MORE
    return kept


def _only(lots: "_Drawn", going: Flags) -> "_Drawn":
    if going.all():
        return lots
    contents, base, price = lots
    return contents[going], base[going], price[going]


def _together(some: "Sequence[_Drawn]", count: int) -> "_Drawn":
    if len(some) == 1:
        return some[0]
    contents, base, price = zip(*some, strict=True)
    return (
        np.concatenate(contents)[:count],
        np.concatenate(base)[:count],
        np.concatenate(price)[:count],
    )


def going_with(known: Uncertainty, count: int = DRAWS) -> int:
    """How many of so many times ``MOST_TIMES`` lots go with what was read of bars."""
    if not isinstance(known.furthest, Tied):
        return count
    ranges = (ranges_of(known, one, 0.0) for one in known.furthest.materials.values())
    wanted = {one.material.name: (one, place) for place, one in enumerate(ranges)}
    return len(next(iter(_kept(known, wanted, count, [SEED], Spread.INDEPENDENT).values()))[1])


_Drawn = tuple[Floats, Floats, Floats]


@dataclass(frozen=True, slots=True)
class _Seeded:
    """Of what and how uniform figures are drawn, one column after the other.

    Each material of a shelf has its own, so that its lots are the same whatever else is used.
    """

    seed: tuple[int, ...]
    count: int
    spread: Spread

    def columns(self) -> Iterator[Floats]:
        """[N] between 0 and 1, again and again."""
        generator = np.random.default_rng(self.seed)
        while True:
            within = generator.random(self.count)
            if self.spread is Spread.EVEN:
                within = (generator.permutation(self.count) + within) / self.count
            yield within


@lru_cache(maxsize=64)  # one composition after the other is made from lots of the same materials
def _lots(spans: tuple[Span, ...], alkalinity: Span, price: Span, seeded: _Seeded) -> _Drawn:
    """[N, substances] contents that add to one, [N] alkalinity and [N] price."""
    columns = seeded.columns()
    raw = np.array([_triangular(span, next(columns)) for span in spans])
    contents = _adding_to_one(raw.reshape(len(spans), seeded.count).T, spans)
    base, paid = (_triangular(span, next(columns)) for span in (alkalinity, price))
    for one in (contents, base, paid):
        one.setflags(write=False)  # whoever draws them next sees the same
    return contents, base, paid


def _triangular(span: Span, uniform: Floats) -> Floats:
    """[N] from the triangle over a range with its peak at the typical value."""
    width = span.high - span.low
    if width <= 0.0:
        return np.full(len(uniform), span.typical)
    peak = (span.typical - span.low) / width
    rising = span.low + width * np.sqrt(uniform * peak)
    falling = span.high - width * np.sqrt((1.0 - uniform) * (1.0 - peak))
    return np.where(uniform < peak, rising, falling)


def _adding_to_one(raw: Floats, spans: Sequence[Span]) -> Floats:
    low = np.array([span.low for span in spans])
    high = np.array([span.high for span in spans])
    short = sum(span.typical for span in spans) - raw.sum(axis=1, keepdims=True)
    room = np.where(short >= 0.0, high - raw, raw - low)
    whole = room.sum(axis=1, keepdims=True)
    return np.asarray(
        raw + np.where(whole > 0.0, short / np.where(whole > 0.0, whole, 1.0), 0) * room
    )
