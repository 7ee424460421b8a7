"""The price of safety as a picture."""

from typing import TYPE_CHECKING

from ..kit.numbers import percent
from ..picture.lines import Graph

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ...solver.uncertain.worth import Safety


def safety_picture(curve: "Sequence[Safety]", currency: str) -> Graph | None:
    """The cost against how much of every range is borne; ``None`` with less than two points."""
    found = [(one.scale, one.cost) for one in curve if one.cost is not None]
    if len(found) < 2:
        return None
    found.sort()
    (least, low), (most, high) = found[0], found[-1]
    said = (
        f"With {percent(least)} of every range borne the mix costs {low:.3f} {currency}/kg, with"
        f" {percent(most)} it costs {high:.3f}."
    )
    return Graph(
        title="What safety costs",
        said=said,
        across="of every range that is borne [%]",
        up=f"{currency}/kg of mix",
        points=tuple((scale * 100, cost) for scale, cost in found),
        marks=(),
        told=tuple((percent(scale), f"{cost:.3f}") for scale, cost in found),
    )
