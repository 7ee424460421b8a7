"""A kind of rule that the package does not have: what may be spent on a class of materials.

It stands here to show that a kind is one module: nothing but its registration is needed for every
question and every command to know it.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from math import fsum, inf
from typing import ClassVar

from barwright.constraints.model.row import between
from barwright.constraints.model.rule import Limited
from barwright.constraints.model.verdict import within
from barwright.constraints.rules import registry
from barwright.constraints.rules.written import Written
from barwright.constraints.values.units import Dimension


@dataclass(frozen=True, slots=True)
class Spending(Limited):
    """What the whole materials of a class cost in a kilogram of mix [money/kg]."""

    on: str

    priced: ClassVar[bool] = True

    def _counts(self, material):
        return self.on in material.classes

    def rows(self, frame, ionic_strength):
        spent = {
            column: price
            for column, (material, price) in enumerate(
                zip(frame.materials, frame.prices, strict=True)
            )
            if self._counts(material)
        }
        return [between(self.id, "spent", spent, (self.low, self.high))]

    def judged(self, mix):
        spent = (price * share for one, price, share in mix.parts if self._counts(one))
        return within(self, fsum(spent))

    def uses(self):
        return ()

    def step(self, side):
        return 0.1

    def reach(self):
        return 0.0, inf

    def place(self, side):
        return 0


def _read(entry, scene, common):
    text = entry.text("spend_on", "the name of a class")
    high = entry.quantity("most", Dimension.PRICE, rates=scene.rates, needed='most = "2 EUR/kg"')
    if text is None or high is None:
        return None
    return Spending(**common, unit=f"{scene.currency}/kg", low=None, high=high, on=text)


WRITTEN = Written(
    key="spend_on",
    keys=("most",),
    read=_read,
    rules=(Spending,),
    example='spend_on = "wax"',
    says="what a class of materials costs in a kilogram of mix",
)


@contextmanager
def known() -> Iterator[None]:
    """While it lasts, briefs may hold rules of this kind."""
    registry.register(WRITTEN)
    try:
        yield
    finally:
        registry.forget(WRITTEN.key)
