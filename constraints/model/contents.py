"""What a composition contains, substance by substance."""

from collections.abc import Mapping
from math import fsum

from .brief import Bench, Composition
from .material import Span


def contents_of(bench: Bench, composition: Composition) -> Mapping[str, float]:
    """Share of each substance in the mix as weighed [kg/kg], at typical contents, by name.

    Sums are correctly rounded, so that the order of the materials never changes a digit.

    Raises:
        KeyError: when a material of the composition is not on the shelf.
    """
    return {inci: span.typical for inci, span in content_spans(bench, composition).items()}


def content_spans(bench: Bench, composition: Composition) -> Mapping[str, Span]:
    """Share of each substance with the range that the certificates allow [kg/kg], by name.

    The ends add up what each material allows on its own, so that not all of them can be met at
    once: they bound one substance, never a whole composition.

    Raises:
        KeyError: when a material of the composition is not on the shelf.
    """
    parts: dict[str, list[Span]] = {}
    for material, share in composition.parts.items():
        for inci, span in bench.material(material).contents.items():
            parts.setdefault(inci, []).append(scaled(span, share))
    return {inci: total(parts[inci]) for inci in sorted(parts)}


def scaled(span: Span, factor: float) -> Span:
    """A span times a factor of 0 or more."""
    return Span(span.low * factor, span.typical * factor, span.high * factor)


def total(spans: list[Span]) -> Span:
    """The sum of spans, end by end."""
    return Span(
        fsum(span.low for span in spans),
        fsum(span.typical for span in spans),
        fsum(span.high for span in spans),
    )
