"""The acidity of a bar as pictures: its pH over the band, and what acid or base would do."""

from collections.abc import Sequence

from ...workshop.acid.answer import Answer
from ..picture.acidity import AcidityBand, Reach
from ..picture.lines import Graph, Mark, Point
from .words import ph


def band_picture(answer: Answer) -> AcidityBand:
    """What pH to expect, over what the brief asks."""
    found, band = answer.account.prediction, answer.band
    said = (
        f"Predicted pH {ph(found.ph)}, from {ph(found.low)} to {ph(found.high)} as its materials"
        " vary within what is known of them."
    )
    low, high = (None, None) if band is None else (band.low, band.high)
    reach = Reach("predicted", found.ph, found.low, found.high)
    return AcidityBand("Its pH, as predicted", said, (reach,), low, high)


def titration_picture(
    answer: Answer, grams: Sequence[Point], now: Point, there: Sequence[Point]
) -> Graph:
    """The pH against what a kilogram of mix holds of an acid or base [g]."""
    first, last = grams[0], grams[-1]
    said = (
        f"From pH {ph(first[1])} with {first[0]:.3g} g of {answer.titrant} in a kilogram of mix to"
        f" pH {ph(last[1])} with {last[0]:.3g} g; it stands at pH {ph(now[1])}, {now[0]:.3g} g."
        " The rest of it stays as it is."
    )
    marks = (Mark("as it stands", now), *(Mark("the target", one) for one in there))
    told = [*grams[:: max(1, len(grams) // 12)], last]
    return Graph(
        title=f"pH against {answer.titrant}",
        said=said,
        across=f"{answer.titrant} in a kg of mix [g]",
        up="pH",
        points=tuple(grams),
        marks=marks,
        told=tuple((f"{mass:.3g}", ph(value)) for mass, value in dict(told).items()),
        dots=False,
    )
