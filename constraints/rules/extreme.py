"""How far the lots that may come can move what a rule is about, for one composition.

What a rule is about is a quotient of sums over the contents, or a pH, which rises with every base
and falls with every acid: wherever it stands, going along its slope to the end of every range can
only lead further, and where that leads nowhere it is at its extreme. The search asks nothing but
the value of the rule, and shares nothing with the rows that a solver is given.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from ..acidity.ranges import ranges_of
from ..model.frame import Same
from ..model.lots import Floats, Lots
from ..model.material import Span
from ..model.mix import Mix
from ..model.rule import Limited
from ..model.uncertainty import Ranges, Uncertainty, least_in, least_lot

_ROUNDS = 20
# Small against any range, large against what a settled pH is sure to.
_NUDGE = 1e-5
_NO_FURTHER = 1e-10


def extreme(rule: Limited, mix: Mix, within: Uncertainty, sense: float) -> tuple[float, Lots]:
    """The least value of a rule over the lots that may come, or the greatest with a sense of −1.

    Args:
        rule: what it is about has a value in every lot.
        mix: the composition.
        within: the lots.
        sense: 1 or −1.

    Returns:
        The value in the unit of the rule, and lots of which the first gives it.
    """
    laid = _layout(Same(mix), Same(within))
    here = laid.typical
    value, slopes = _tangent(rule, laid, here)
    for _ in range(_ROUNDS):
        there = laid.furthest(sense * slopes)
        if np.array_equal(there, here):
            break
        reached, slopes = _tangent(rule, laid, there)
        if not sense * (value - reached) > _NO_FURTHER:
            break
        value, here = reached, there
    return value, _beside(Same(laid.mix), laid.moving, here.tobytes())


@dataclass(frozen=True, slots=True)
class _Layout:
    """The figures of all materials side by side: contents, residual alkalinity and price of each.

    Args:
        mix: the composition.
        within: the lots.
        ranges: of its materials.
        moving: places of the figures that another lot may have otherwise.
        typical: [figures] of a typical lot of each material.
    """

    mix: Mix
    within: Uncertainty
    ranges: tuple[Ranges, ...]
    moving: tuple[int, ...]
    typical: Floats

    def furthest(self, weights: Floats) -> Floats:
        """[figures] of the lots for which Σ weight · figure is least."""
        found, asked = self.typical.copy(), weights.tolist()
        start = 0
        for one in self.ranges:
            end = start + len(one.contents)
            by_content = asked[start:end]
            if any(by_content):
                found[start:end] = least_lot(one.contents, by_content)
            if asked[end]:
                found[end] = least_in(one.alkalinity, asked[end])
            if asked[end + 1]:
                found[end + 1] = least_in(one.price, asked[end + 1])
            start = end + 2
        if self.within.furthest is not None:
            self._tie(found, weights)
        return found

    def _tie(self, found: Floats, weights: Floats) -> None:
        """Put in what may come together of the materials that readings of bars tie."""
        tied, places, start = self.within.tied, {}, 0
        for one in self.ranges:
            end = start + len(one.contents) + 1
            if one.material.name in tied:
                places[one.material.name] = slice(start, end)
            start = end + 1
        asked = {name: tuple(weights[place].tolist()) for name, place in places.items()}
        if self.within.furthest is not None and any(map(any, asked.values())):
            lots = self.within.furthest(self.within, asked)
            for name, place in places.items():
                found[place] = lots[name]


def _spans(one: Ranges) -> tuple[Span, ...]:
    return (*one.contents, one.alkalinity, one.price)


@lru_cache(maxsize=32)
def _layout(mix: Same[Mix], within: Same[Uncertainty]) -> _Layout:
    parts = mix.thing.parts
    ranges = tuple(ranges_of(within.thing, material, price) for material, price, _ in parts)
    whole = replace(within.thing, scale=1.0, known=frozenset())
    may = (ranges_of(whole, material, price) for material, price, _ in parts)
    spans = [span for one in may for span in _spans(one)]
    moving = tuple(place for place, span in enumerate(spans) if span.low < span.high)
    typical = np.array([span.typical for one in ranges for span in _spans(one)])
    return _Layout(mix.thing, within.thing, ranges, moving, typical)


def _tangent(rule: Limited, laid: _Layout, here: Floats) -> tuple[float, Floats]:
    """The value, and what each figure adds to it."""
    values = rule.value_in(_beside(Same(laid.mix), laid.moving, here.tobytes()))
    slopes = np.zeros(len(here))
    slopes[list(laid.moving)] = (values[1:] - values[0]) / _NUDGE
    return float(values[0]), slopes


@lru_cache(maxsize=64)
def _beside(mix: Same[Mix], moving: tuple[int, ...], figures: bytes) -> Lots:
    """Some lots, and the same with one figure after the other a little higher.

    Rules ask for the same ones in turn, and several of them for one pH.
    """
    here = np.frombuffer(figures)
    rows = np.tile(here, (1 + len(moving), 1))
    rows[np.arange(1, len(rows)), list(moving)] += _NUDGE
    return _lots(mix.thing, rows)


def _lots(mix: Mix, rows: Floats) -> Lots:
    """[N, figures] as lots."""
    widths = [len(material.contents) for material, _, _ in mix.parts]
    starts = np.cumsum([0, *(width + 2 for width in widths)])[:-1]
    ends = starts + widths
    return Lots(
        mix=mix,
        contents=tuple(rows[:, start:end] for start, end in zip(starts, ends, strict=True)),
        alkalinity=rows[:, ends],
        prices=rows[:, ends + 1],
    )
