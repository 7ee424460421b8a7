"""Bars wanted: which, how many, by when."""

from dataclasses import dataclass

from ..values.problem import Where
from ..values.told import Told
from .brief import Bench, Composition


@dataclass(frozen=True, slots=True, repr=False)
class Wanted(Told):
    """Bars of one formula that are wanted in one week.

    Args:
        bench: the bench that the formula belongs to.
        formula: what they are made of.
        bars: how many.
        week: in which they are made, counted from 1.
        fill: mass to press a bar [kg], or ``None`` for the smallest that keeps the net weight.
        where: the line that asks for them.
    """

    bench: Bench
    formula: Composition
    bars: int
    week: int
    fill: float | None
    where: Where


@dataclass(frozen=True, slots=True, repr=False)
class PriceFrom(Told):
    """What an offer costs from a week on.

    Args:
        material: its name.
        supplier: who offers it; every supplier where empty.
        pack: mass of the pack that is meant [kg]; every pack where ``None``.
        week: counted from 1.
        price: of a pack [money].
    """

    material: str
    supplier: str
    pack: float | None
    week: int
    price: float
