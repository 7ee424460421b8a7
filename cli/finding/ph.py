"""What is said of a pH beside a composition: what to expect, and what a step of it takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...constraints.acidity.adjusting import Adjustment
    from ...constraints.acidity.prediction import Prediction
    from ...constraints.model.verdict import Verdict

MEASURE = (
    "A predicted pH never replaces a measured one: read it in every batch, at the dilution of the"
    " brief. barwright acidity says what it rests on."
)


def predicted_sentence(found: Prediction) -> str:
    """The predicted pH with the range that its materials leave open."""
    said = f"Predicted pH {found.ph:.2f}"
    if found.high - found.low > 0.01:
        said = f"{said}, between {found.low:.2f} and {found.high:.2f} as its materials vary"
    if found.unknown:
        said = f"{said}, counting what the like of {', '.join(found.unknown)} may bring along"
    if not found.valid:
        said = f"{said}; there is more salt in the water than the model is trusted for"
    return f"{said}."


def unsure_sentence(verdict: Verdict) -> str:
    """Why a rule on pH does not count as kept, and what would settle it."""
    from ...constraints.acidity.constants import constants
    from ...constraints.model.verdict import Unsure

    if verdict.unsure is Unsure.SALT:
        why = (
            "there is more salt in the water than the prediction is trusted for, an ionic strength"
            f" of {constants().trusted_to:g} mol/kg. Measure it, or read it at a greater dilution"
        )
    else:
        why = (
            "it holds as predicted, but not for all that materials of unknown residual alkalinity"
            " may bring along. Measure it; a reading of those materials would settle it"
        )
    return f"{verdict.rule.id}: {why}."


def step_sentence(changes: tuple[Adjustment, ...], by: float) -> str:
    """What a step of pH means in grams of the acids and bases in use."""
    ways = [
        f"{abs(change.amount) * 1000:.3g} g {'more' if change.amount > 0 else 'less'}"
        f" {change.material}"
        for change in changes
        if change.amount
    ]
    if not ways:
        return ""
    return (
        f"{abs(by):g} pH {'higher' if by > 0 else 'lower'} is {', or '.join(ways)} in a kg of mix."
    )
