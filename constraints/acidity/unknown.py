"""What a material of unknown residual alkalinity may bring: a range by its class, never nothing."""

from collections.abc import Iterable
from functools import cache

from ..data import data_of
from ..model.material import Material, Span

OTHER = "other"


def alkalinity_of(material: Material) -> Span:
    """The residual alkalinity of a material, or where it is not known what its classes may bring.

    Args:
        material: of several classes that the data know, the range covers what any of them may
            bring; the first gives the typical figure.

    Returns:
        strong base that its substances do not account for [mol/kg]; negative for acid.
    """
    if material.alkalinity is not None:
        return material.alkalinity
    known = _by_class()
    spans = [known[name] for name in material.classes if name in known] or [known[OTHER]]
    lowest, highest = min(span.low for span in spans), max(span.high for span in spans)
    return Span(lowest, spans[0].typical, highest)


def unknown_alkalinity(parts: Iterable[tuple[Material, float]]) -> tuple[str, ...]:
    """Materials in use whose residual alkalinity is not known: it counts as its class may have."""
    return tuple(
        material.name for material, mass in parts if mass > 0 and material.alkalinity is None
    )


@cache
def _by_class() -> dict[str, Span]:
    data = data_of("unknown_alkalinity.toml")
    return {name: Span(one["low"], one["typical"], one["high"]) for name, one in data.items()}
