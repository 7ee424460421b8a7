"""A changed formula as pictures: before and after, its pH, its rules, what closeness costs."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...constraints.rules.acidity import band_of
from ...workshop.changing.comparison import Change, Comparison
from ..kit.numbers import share
from ..picture.acidity import AcidityBand, Reach
from ..picture.lines import Graph
from ..picture.pairs import Pair, Pairs
from .words import points

if TYPE_CHECKING:
    from ...constraints.model.brief import Bench
    from ...solver.nearest.frontier import Corner

MOST = 24
"""Pairs in one picture; the table beside it has them all."""


def changes_picture(title: str, what: str, changes: Sequence[Change]) -> Pairs | None:
    """Amounts before and after, as many as can be looked at; ``None`` where there are none."""
    if not changes:
        return None
    shown = changes[:MOST]
    most = max(shown, key=lambda one: abs(one.by))
    said = f"Before and after; {most.name} changes most, by {points(most.by)}."
    pairs = (
        Pair(one.name, one.before, one.after, (_said(one.before), _said(one.after), points(one.by)))
        for one in shown
    )
    return Pairs(title, said, what, tuple(pairs))


def _said(value: float) -> str:
    return share(value) if value > 0 else "none"


def acidity_picture(bench: "Bench", comparison: Comparison) -> AcidityBand:
    """The predicted pH before and after, over what the brief asks."""
    named = zip(("before", "after"), comparison.ph, strict=True)
    reaches = tuple(Reach(name, one.ph, one.low, one.high) for name, one in named)
    said = "; ".join(
        f"{one.name} pH {one.ph:.2f}, from {one.low:.2f} to {one.high:.2f}" for one in reaches
    )
    band = band_of(bench.brief)
    low, high = (None, None) if band is None else (band.low, band.high)
    told = f"{said[0].upper()}{said[1:]} as the materials vary."
    return AcidityBand("Its pH before and after", told, reaches, low, high)


def corners_picture(corners: Sequence["Corner"], currency: str) -> Graph:
    """What a kilogram costs against how much of the bar is changed."""
    first, last = corners[0], corners[-1]
    return Graph(
        title="What closeness costs",
        said=(
            f"From {first.cost:.3f} {currency}/kg with {share(first.apart)} of the bar changed to"
            f" {last.cost:.3f} with {share(last.apart)}: nothing is both nearer and cheaper."
        ),
        across="% of the bar changed",
        up=f"{currency}/kg",
        points=tuple((one.apart * 100, one.cost) for one in corners),
        marks=(),
        told=tuple((share(one.apart), f"{one.cost:.3f}") for one in corners),
    )
