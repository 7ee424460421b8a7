"""The uncertainty set: what may come when a material is bought again.

A lot of a material has its contents anywhere in the ranges of its certificate, adding to one, and
a residual alkalinity anywhere in its own. Materials differ independently of each other; the figures
of one material move together in every rule, since they are those of one lot. Prices lie in ranges
of the maker's own. A reading of a bar ties the figures of all its materials: it is a linear
inequality over them, within what its instrument shows.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import fsum
from typing import TypeAlias

from ..values.told import Told
from .material import Material, Span

Figures: TypeAlias = tuple[float, ...]
"""Of one lot: its contents in declared order [kg/kg], then its residual alkalinity [mol/kg]."""

Together: TypeAlias = Mapping[str, Figures]
"""Lots of several materials, by name, that may come together."""


@dataclass(frozen=True, slots=True)
class Ranges:
    """What is known of one material: each figure within its range.

    Args:
        material: as it is bought.
        contents: of its substances in declared order [kg/kg]; a lot's add to one.
        alkalinity: residual [mol/kg].
        price: [money/kg].
    """

    material: Material
    contents: tuple[Span, ...]
    alkalinity: Span
    price: Span

    def lot(self, contents: Sequence[float], alkalinity: float) -> Material:
        """The material as a lot with these figures is."""
        return lot_of(self.material, contents, alkalinity)


@dataclass(frozen=True, slots=True)
class Correction:
    """An acid or base that is added at the bench once the mix was read.

    Args:
        material: what is added.
        price: [money/kg].
        most: the most that any lot may take [kg per kg of mix].
    """

    material: Material
    price: float
    most: float


@dataclass(frozen=True, slots=True)
class Cut:
    """What a reading of a bar leaves possible: Σ weight · figure of its lots is at least so much.

    Args:
        reading: what was read, and when: by this it is named.
        weights: material -> one for each of its figures. A lot that is no longer there stands under
            a name of its own.
        least: what the sum is at least [mol per kg of bar].
    """

    reading: str
    weights: Mapping[str, Figures]
    least: float


@dataclass(frozen=True, slots=True, repr=False)
class Uncertainty(Told):
    """The set of lots of which a composition may come to be made.

    Args:
        prices: how far the price of a material may lie from today's, as a share [1]; a material
            that is not named keeps its price.
        known: materials taken to be exactly as their typical figures say: what would be so if they
            were measured.
        certified: materials of which that is taken of the contents alone: what would be so if the
            certificate of the lot were at hand.
        scale: the share of each range that counts, from its typical value: 1 for all of it.
        correction: what the maker adds after reading the mix, if anything.
        cuts: what readings of bars leave possible; typical lots keep them all.
        furthest: weights of some figures -> the lots that may come together for which
            Σ weight · figure is least. It goes with ``cuts``, since a program has to tell.
        worst: rule -> lots that may come together, at each of which its rows stand. With cuts no
            material has a worst lot of its own; these are found one after the other.
    """

    prices: Mapping[str, float] = field(default_factory=dict)
    known: frozenset[str] = frozenset()
    certified: frozenset[str] = frozenset()
    scale: float = 1.0
    correction: Correction | None = None
    cuts: tuple[Cut, ...] = ()
    furthest: "Callable[[Uncertainty, Together], Together] | None" = field(
        default=None, repr=False, compare=False
    )
    worst: Mapping[str, tuple[Together, ...]] = field(default_factory=dict, repr=False)

    @property
    def tied(self) -> frozenset[str]:
        """Materials of which readings of bars say something."""
        return frozenset(name for cut in self.cuts for name in cut.weights)

    def of(self, material: Material, price: float, base: Span) -> Ranges:
        """What may come of one material.

        Args:
            material: as it is bought.
            price: today's [money/kg].
            base: the range of its residual alkalinity [mol/kg]; where the material itself tells of
                none it counts whole, whatever the scale.
        """
        scale = 0.0 if material.name in self.known else self.scale
        inside = 0.0 if material.name in self.certified else scale
        contents = tuple(narrowed(span, inside) for span in material.contents.values())
        apart = price * self.prices.get(material.name, 0.0) * self.scale
        span = Span(price - apart, price, price + apart)
        unknown = material.alkalinity is None and material.name not in self.known
        return Ranges(material, contents, narrowed(base, 1.0 if unknown else scale), span)


def lot_of(material: Material, contents: Sequence[float], alkalinity: float) -> Material:
    """A material as one lot of it is.

    What counts is its typical contents; the ranges stay, since what a law counts at the upper end
    of a certificate, and what a bar may not hold any of, are about the material and not the lot.
    """
    spans = {
        inci: Span(span.low, content, span.high)
        for (inci, span), content in zip(material.contents.items(), contents, strict=True)
    }
    ends = material.alkalinity or Span(alkalinity, alkalinity, alkalinity)
    known = Span(ends.low, alkalinity, ends.high)
    return replace(material, contents=spans, alkalinity=known)


def narrowed(span: Span, scale: float) -> Span:
    """A range drawn in towards its typical value, to a share of its width."""
    return Span(
        span.typical + scale * (span.low - span.typical),
        span.typical,
        span.typical + scale * (span.high - span.typical),
    )


def least_lot(contents: Sequence[Span], weights: Sequence[float]) -> tuple[float, ...]:
    """The contents within their ranges, adding to one, for which Σ weight · content is least.

    They add to what the typical ones add to, so that what no entry names stays unnamed. From the
    low ends, what is missing goes to the lightest first: a fractional knapsack,
    whose greedy answer is exact (G. B. Dantzig, "Discrete-variable extremum problems", Operations
    Research 5 (1957) 266-288).

    Args:
        contents: their typical values are a lot, so that there is one.
        weights: one for each.
    """
    found = [span.low for span in contents]
    missing = fsum(span.typical for span in contents) - fsum(found)
    for place in sorted(range(len(found)), key=lambda one: weights[one]):
        span = contents[place]
        if missing <= span.high - span.low:
            found[place] += max(missing, 0.0)
            return tuple(found)
        found[place] = span.high
        missing -= span.high - span.low
    return tuple(found)


def least_in(span: Span, weight: float) -> float:
    """The end of a range at which weight · figure is least; typical where nothing hangs on it."""
    return span.typical if weight == 0.0 else span.low if weight > 0.0 else span.high
