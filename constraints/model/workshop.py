"""Plain figures of a workshop."""

from dataclasses import dataclass

from ..values.told import Told


@dataclass(frozen=True, slots=True, repr=False)
class Workshop(Told):
    """Plain figures of the workshop, each asked for by one command or another.

    Every one may be ``None``: the brief did not say.

    Args:
        heat_to: what water and melt are heated to [°C].
        vessel: mass of the vessel [kg].
        vessel_heat: its heat capacity [kJ/(kg·K)].
        vessel_at: its temperature when it is filled [°C].
        bowl: the most mix that is made at once [kg].
        storage: of a kilogram of material for a week [money].
        leftover_worth: what is left of a plan counts for this share of its price [kg/kg].
        bar_volume: volume of the mould [L].
        setting_time: time until the mix sets [s].
        packaging_a_bar: [money].
        labour_a_batch: [money].
        hours_a_batch: work on a batch [s].
        rate_an_hour: what an hour of it costs [money].
        rejects: bars that are made and not sold, of those made.
        fees: what a sale costs, of the price with tax.
        fee_a_bar: what the sale of a bar costs beside that [money].
        tax: sales tax on the net price.
        wholesale: what a shop pays less than the net price, of that price.
    """

    heat_to: float | None = None
    vessel: float | None = None
    vessel_heat: float | None = None
    vessel_at: float | None = None
    bowl: float | None = None
    storage: float | None = None
    leftover_worth: float | None = None
    bar_volume: float | None = None
    setting_time: float | None = None
    packaging_a_bar: float | None = None
    labour_a_batch: float | None = None
    hours_a_batch: float | None = None
    rate_an_hour: float | None = None
    rejects: float | None = None
    fees: float | None = None
    fee_a_bar: float | None = None
    tax: float | None = None
    wholesale: float | None = None
