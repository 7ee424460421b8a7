"""A composition as a judge sees it: what is in it, counted straight from contents and prices.

Nothing here is shared with the rows that a solver is given; that is what makes it a check.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import fsum

from .material import Material
from .rule import Counted, Pick, Selector
from .substance import Substance

TRACE = 1e-9
"""A material with no more than this share is not used [kg/kg]."""


@dataclass(frozen=True, slots=True)
class Mix:
    """Materials with their prices and shares, and what is known of the substances in them.

    Args:
        parts: each material, its price [money/kg] and its share [kg/kg].
        substances: every substance that they contain, by INCI name.
        amounts: what it contains, sorted when it is first asked for; only saves work.
    """

    parts: tuple[tuple[Material, float, float], ...]
    substances: Mapping[str, Substance]
    amounts: dict[Pick, dict[str, list[float]]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def shares(self) -> tuple[tuple[Material, float], ...]:
        """The materials with their shares [kg/kg]."""
        return tuple((material, share) for material, _, share in self.parts)

    @property
    def cost(self) -> float:
        """Of the materials in a kilogram of mix [money/kg]."""
        return fsum(price * share for _, price, share in self.parts)

    @property
    def used(self) -> frozenset[str]:
        """Names of the materials that are used."""
        return frozenset([material.name for material, _, share in self.parts if share > TRACE])

    def share_of(self, name: str) -> float:
        """The share of one material [kg/kg]."""
        return fsum(self._amounts(Pick.MATERIAL, name))

    def with_more(self, material: Material, price: float, added: float) -> "Mix":
        """The mix with some of a material added on top [kg per kg], its shares adding to one again.

        The material has a part of its own even where nothing is added.
        """
        there = any(one.name == material.name for one, _, _ in self.parts)
        parts = self.parts if there else (*self.parts, (material, price, 0.0))
        return Mix(
            tuple(
                (one, paid, (share + added * (one.name == material.name)) / (1.0 + added))
                for one, paid, share in parts
            ),
            self.substances,
        )

    def counted(self, factors: Mapping[str, float], end: str = "typical") -> float:
        """Σ factor · content · share over some substances, at one end of their ranges [kg/kg]."""
        return fsum(
            factors[inci] * float(getattr(span, end)) * share
            for material, _, share in self.parts
            for inci, span in material.contents.items()
            if inci in factors
        )

    def picked(self, selector: Selector) -> float:
        """Mass that a selector counts in a kilogram of mix [kg/kg]."""
        if selector.inside:
            of = Pick.SUBSTANCE if selector.pick is Pick.SUBSTANCE else Pick.CLASS
            return fsum(
                self._active(selector) if selector.also else self._amounts(of, selector.name)
            )
        return fsum(share for one, _, share in self.parts if fits(selector, one, self.substances))

    def _amounts(self, of: Pick, name: str) -> list[float]:
        """The amounts of a material, or of a substance or a class within each material."""
        if not self.amounts:
            whole: defaultdict[str, list[float]] = defaultdict(list)
            inside: defaultdict[str, list[float]] = defaultdict(list)
            classed: defaultdict[str, list[float]] = defaultdict(list)
            for material, _, share in self.parts:
                whole[material.name].append(share)
                for inci, amount in material.typical_contents():
                    inside[inci].append(amount * share)
                    for one in {*self.substances[inci].classes}:
                        classed[one].append(amount * share)
            self.amounts.update({Pick.MATERIAL: whole, Pick.SUBSTANCE: inside, Pick.CLASS: classed})
        return self.amounts[of].get(name, [])

    def _active(self, selector: Selector) -> Iterator[float]:
        for material, _, share in self.parts:
            for inci, amount in material.typical_contents():
                if fits_substance(selector, self.substances[inci]):
                    yield amount * share


def fits_substance(selector: Selector, substance: Substance) -> bool:
    """Whether a selector of classes or substances picks a substance."""
    if selector.also:
        return any(fits_substance(one, substance) for one in selector.each)
    if selector.pick is Pick.SUBSTANCE:
        return substance.inci == selector.name
    return selector.name in substance.classes


def fits(selector: Selector, material: Material, substances: Mapping[str, Substance]) -> bool:
    """Whether a selector picks a whole material."""
    if selector.also:
        return any(fits(one, material, substances) for one in selector.each)
    plain = {
        Pick.MATERIAL: (material.name,),
        Pick.TAG: material.tags,
        Pick.FORM: (material.form,),
        Pick.PHASE: (material.phase,),
    }
    if selector.pick in plain:
        return selector.name in plain[selector.pick]
    if selector.pick is Pick.CLASS and selector.counted is Counted.SUPPLIED:
        return selector.name in material.classes
    return any(
        span.high > 0 and fits_substance(selector, substances[inci])
        for inci, span in material.contents.items()
    )
