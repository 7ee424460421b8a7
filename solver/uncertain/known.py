"""The uncertainty set: what may come when a material is bought again.

A lot of a material has its contents anywhere in the ranges of its certificate, adding to one, and
a residual alkalinity anywhere in its own. Materials differ independently of each other; the figures
of one material move together in every rule, since they are those of one lot. Prices lie in ranges
of the maker's own.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from ...constraints.acidity.charge import residual_alkalinity
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.material import Material, Span


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


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """The set of lots of which a composition may come to be made.

    Args:
        prices: how far the price of a material may lie from today's, as a share [1]; a material
            that is not named keeps its price.
        known: materials taken to be exactly as their typical figures say: what would be so if they
            were measured.
        scale: the share of each range that counts, from its typical value: 1 for all of it.
    """

    prices: Mapping[str, float] = field(default_factory=dict)
    known: frozenset[str] = frozenset()
    scale: float = 1.0

    def ranges(self, bench: Bench, composition: Composition) -> tuple[Ranges, ...]:
        """What is known of each material of a composition, in its order.

        Raises:
            KeyError: when the composition names a material that is not on the shelf.
        """
        return tuple(self.of(bench, name) for name in composition.parts)

    def of(self, bench: Bench, name: str) -> Ranges:
        """What is known of one material.

        Raises:
            KeyError: when the shelf has no such material.
        """
        item = bench.item(name)
        scale = 0.0 if name in self.known else self.scale
        contents = tuple(narrowed(span, scale) for span in item.material.contents.values())
        apart = item.price * self.prices.get(name, 0.0) * self.scale
        price = Span(item.price - apart, item.price, item.price + apart)
        return Ranges(item.material, contents, narrowed(base_of(item.material), scale), price)


def base_of(material: Material) -> Span:
    """The range of a material's residual alkalinity [mol/kg], as the prediction of pH counts it."""
    return Span(
        residual_alkalinity(material, "low"),
        residual_alkalinity(material, "typical"),
        residual_alkalinity(material, "high"),
    )


def narrowed(span: Span, scale: float) -> Span:
    """A range drawn in towards its typical value, to a share of its width."""
    return Span(
        span.typical + scale * (span.low - span.typical),
        span.typical,
        span.typical + scale * (span.high - span.typical),
    )
