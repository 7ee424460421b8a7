"""Lots that may come together, once readings of bars tie their figures.

The set is a polytope: a range for every figure, contents of each lot adding up, and two
inequalities a reading. The lots for which a weighted sum is least are a vertex of it, and a linear
program tells which. Drawn in by a scale, the whole polytope shrinks towards typical lots, which lie
in it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import fsum, inf

from ...constraints.acidity.ranges import ranges_of
from ...constraints.model.material import Material, Span
from ...constraints.model.row import Row, row
from ...constraints.model.uncertainty import Cut, Figures, Together, Uncertainty
from ..program.outcome import Program
from ..program.warm import Warm


@dataclass(frozen=True, slots=True)
class Tied:
    """Lots whose figures readings tie together.

    Args:
        materials: by the name under which their lots stand in the cuts.
        cuts: what the readings leave possible; typical lots keep them.
        warm: programs that were asked before, by how much of the set they cover.
    """

    materials: Mapping[str, Material]
    cuts: tuple[Cut, ...]
    warm: dict[tuple[float, frozenset[str], frozenset[str]], Warm] = field(
        default_factory=dict, repr=False, compare=False
    )

    def __call__(self, within: Uncertainty, weights: Together) -> Together:
        """The lots that may come together for which Σ weight · figure is least."""
        tied = frozenset(self.materials)
        key = (within.scale, within.known & tied, within.certified & tied)
        if key not in self.warm:
            self.warm[key] = Warm(self.program(within))
        found = self.warm[key].solve(
            [w for name in self.materials for w in self._of(weights, name)]
        )
        if found is None:
            raise RuntimeError("typical lots keep what readings leave possible, yet there are none")
        figures = iter(found[1].tolist())
        return {
            name: tuple(next(figures) for _ in range(_width(material)))
            for name, material in self.materials.items()
        }

    def _of(self, weights: Together, name: str) -> Figures:
        return weights.get(name) or (0.0,) * _width(self.materials[name])

    def program(self, within: Uncertainty) -> Program:
        """The set as a program without costs: a column for each figure of each lot."""
        spans = [one for name in self.materials for one in self.spans(within, name)]
        return Program(
            costs=(0.0,) * len(spans),
            lower=tuple(span.low for span in spans),
            upper=tuple(span.high for span in spans),
            whole=(False,) * len(spans),
            rows=tuple(self._rows(within)),
        )

    def spans(self, within: Uncertainty, name: str) -> tuple[Span, ...]:
        """The ranges of the figures of one lot."""
        ranges = ranges_of(within, self.materials[name], 0.0)
        return (*ranges.contents, ranges.alkalinity)

    def _rows(self, within: Uncertainty) -> Iterator[Row]:
        start = 0
        starts: dict[str, int] = {}
        for name, material in self.materials.items():
            starts[name] = start
            width = _width(material)
            total = fsum(span.typical for span in material.contents.values())
            yield row(
                name, "sum", dict.fromkeys(range(start, start + width - 1), 1.0), total, total
            )
            start += width
        typical = self.typical()
        for cut in self.cuts:
            values = {
                starts[name] + place: weight
                for name, weights in cut.weights.items()
                for place, weight in enumerate(weights)
            }
            yield row(cut.reading, "read", values, least_at(cut, typical, self.part(within)), inf)

    def part(self, within: Uncertainty) -> float:
        """The share of a cut that counts: all of it where nobody knows some alkalinity."""
        unknown = any(one.alkalinity is None for one in self.materials.values())
        return 1.0 if unknown else within.scale

    def typical(self) -> Together:
        """The typical lots."""
        return {
            name: tuple(span.typical for span in self.spans(Uncertainty(), name))
            for name in self.materials
        }


def least_at(cut: Cut, typical: Together, scale: float) -> float:
    """What a cut asks at least where only a share of the set counts, drawn in to typical lots."""
    there = sum_of(cut, typical)
    return cut.least if scale >= 1.0 else there + scale * (cut.least - there)


def sum_of(cut: Cut, lots: Together) -> float:
    """Σ weight · figure of a cut over some lots."""
    return fsum(
        weight * figure
        for name, weights in cut.weights.items()
        for weight, figure in zip(weights, lots[name], strict=True)
    )


def _width(material: Material) -> int:
    return len(material.contents) + 1


def with_cuts(
    within: Uncertainty, materials: Mapping[str, Material], cuts: Sequence[Cut]
) -> Uncertainty:
    """A set that readings of bars cut.

    Args:
        within: the set without them.
        materials: by the name under which their lots stand in the cuts.
        cuts: what the readings leave possible.
    """
    tied = Tied(dict(materials), tuple(cuts))
    return replace(within, cuts=tied.cuts, furthest=tied, worst={})
