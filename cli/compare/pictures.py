"""Bars side by side as pictures: what each costs, and where its pH lies."""

from string import ascii_uppercase

from ...constraints.rules.acidity import band_of
from ...workshop.changing.side_by_side import SideBySide
from ..kit.numbers import money
from ..picture.acidity import AcidityBand, Reach
from ..picture.bars import Amount, Bars


def costs_picture(found: SideBySide) -> Bars | None:
    """What a kilogram of each costs; ``None`` where currencies differ or a price is not known."""
    costs = [one.cost for one in found.bars]
    currencies = {one.bench.brief.currency for one in found.bars}
    if any(cost is None for cost in costs) or len(currencies) > 1:
        return None
    (currency,) = currencies
    bars = tuple(
        Amount(
            f"{letter}: {one.composition.name}", one.cost or 0.0, money(one.cost or 0.0, currency)
        )
        for letter, one in zip(ascii_uppercase, found.bars, strict=False)
    )
    return Bars("What each mix costs", "What a kilogram of each mix costs.", ("bar", "cost"), bars)


def acidity_picture(found: SideBySide) -> AcidityBand | None:
    """The predicted pH of each over the band, where all of them are asked the same."""
    bands = [band_of(one.bench.brief) for one in found.bars]
    asked = {(None, None) if band is None else (band.low, band.high) for band in bands}
    reaches = tuple(
        Reach(letter, one.ph.ph, one.ph.low, one.ph.high)
        for letter, one in zip(ascii_uppercase, found.bars, strict=False)
        if one.ph is not None
    )
    if not reaches:
        return None
    low, high = asked.pop() if len(asked) == 1 else (None, None)
    said = "; ".join(f"{one.name} pH {one.ph:.2f}" for one in reaches)
    told = f"{said}, each with the range that its materials leave open."
    return AcidityBand("The pH of each, as predicted", told, reaches, low, high)
