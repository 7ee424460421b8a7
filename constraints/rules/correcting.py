"""Room for what is added at the bench after the mix was read.

A kilogram of mix x with y kilograms of acid on top is (x + y·e)/(1 + y). A row a·x ≥ b of it reads
a·x + a_acid·y ≥ b·(1 + y): straight in y, so that it holds for whatever is added up to the most if
it holds for none and for the most. A rule for whose sake it is added may lean on the most instead.
"""

from collections.abc import Mapping
from dataclasses import replace
from math import inf, isfinite
from typing import TYPE_CHECKING

from ..model.row import row as new_row
from ..model.uncertainty import Correction

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.row import Row
    from ..model.rule import Rule


def leaving_room(row: "Row", rule: "Rule", correction: Correction, frame: "Frame") -> "Row":
    """A row that holds with whatever is added, or that what is added brings to hold.

    Raises:
        ValueError: when the row would be harder to keep in one choice and easier in another.
    """
    values = dict(zip(row.columns, row.values, strict=True))
    shares = len(frame.materials)
    if all(column >= shares for column in values):
        return row  # about choices alone, which no addition changes
    own = values.get(frame.index[correction.material.name], 0.0) * correction.most
    if rule.corrected:
        return _leaning(row, own)
    chosen = {column: value for column, value in values.items() if column >= shares}
    if chosen:
        return _with_choices(row, values, chosen, own, correction.most)
    low = row.low + max(0.0, row.low * correction.most - own) if isfinite(row.low) else -inf
    high = row.high - max(0.0, own - row.high * correction.most) if isfinite(row.high) else inf
    return replace(row, low=low, high=high)


def _leaning(row: "Row", own: float) -> "Row":
    """What is added helps on the side towards which it pulls, and is left out for the other."""
    low = row.low - max(0.0, own) if isfinite(row.low) else row.low
    high = row.high - min(0.0, own) if isfinite(row.high) else row.high
    return replace(row, low=low, high=high)


def _with_choices(
    row: "Row",
    values: Mapping[int, float],
    chosen: Mapping[int, float],
    own: float,
    most: float,
) -> "Row":
    """Shares against choices: what is added thins the shares, never the choices."""
    at_least = isfinite(row.low)
    side = row.low if at_least else row.high
    sense = 1.0 if at_least else -1.0
    easier = [sense * (own + most * (made * sum(chosen.values()) - side)) for made in (0.0, 1.0)]
    if min(easier) >= 0.0:
        return row
    if max(easier) > 0.0:
        raise ValueError(f"{row.rule}, {row.part}: what is added helps one choice, harms another")
    thinned = {**values, **{column: value * (1.0 + most) for column, value in chosen.items()}}
    moved = side * (1.0 + most) - own
    low, high = (moved, inf) if at_least else (-inf, moved)
    return new_row(row.rule, row.part, thinned, low, high)
