"""Lots drawn from the uncertainty set.

Each figure is drawn from the triangle over its range with its peak at the typical value, which is
what least, typical and most say and nothing more. The contents of a lot are then brought to add to
one: all of them give way together, each by the same share of the room it has, so that none leaves
its range. That they must add up makes each of them vary less than its triangle alone.
"""

from collections.abc import Sequence
from enum import StrEnum

import numpy as np

from ...constraints.acidity.ranges import ranges_of
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.lots import Floats, Lots
from ...constraints.model.material import Span
from ...constraints.model.uncertainty import Ranges, Uncertainty
from ...constraints.rules.judging import mix_of

SEED = 1
"""Of draws by which something is tuned or shown; the same figures every time."""

FRESH_SEED = 2
"""Of draws that verify: never those by which anything was tuned."""

DRAWS = 10_000


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

    Raises:
        KeyError: when the composition names a material that is not on the shelf.
    """
    mix = mix_of(bench, composition)
    known = within or Uncertainty()
    places = {name: place for place, name in enumerate(bench.material_names)}
    lots = [
        _lots(
            ranges_of(known, material, price), _Source([seed, places[material.name]], count, spread)
        )
        for material, price, _ in mix.parts
    ]
    return Lots(
        mix=mix,
        contents=tuple(contents for contents, _, _ in lots),
        alkalinity=np.array([base for _, base, _ in lots]).reshape(len(lots), count).T,
        prices=np.array([price for _, _, price in lots]).reshape(len(lots), count).T,
    )


class _Source:
    """Uniform figures, one column after the other.

    Each material of a shelf has its own, so that its lots are the same whatever else is used.
    """

    def __init__(self, seed: Sequence[int], count: int, spread: Spread) -> None:
        self.generator = np.random.default_rng(seed)
        self.count, self.spread = count, spread

    def uniform(self) -> Floats:
        """[N] between 0 and 1."""
        within = self.generator.random(self.count)
        if self.spread is Spread.INDEPENDENT:
            return within
        return (self.generator.permutation(self.count) + within) / self.count


def _lots(one: Ranges, random: _Source) -> tuple[Floats, Floats, Floats]:
    """[N, substances] contents, [N] alkalinity and [N] price."""
    contents = _contents(one, random)
    base = _triangular(one.alkalinity, random.uniform())
    return contents, base, _triangular(one.price, random.uniform())


def _contents(one: Ranges, random: _Source) -> Floats:
    """[N, substances] adding to one, each in its range."""
    spans = one.contents
    raw = np.array([_triangular(span, random.uniform()) for span in spans])
    return _adding_to_one(raw.reshape(len(spans), random.count).T, spans)


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
