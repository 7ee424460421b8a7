"""Which balance a material goes on, in how many loads, and in which steps a batch is reckoned."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from ...constraints.model.brief import Balance
from .weight import decimal


@dataclass(frozen=True, slots=True)
class Place:
    """Where a material is weighed; ``sensible`` is false where no balance reads so little."""

    balance: Balance
    loads: int
    sensible: bool

    def nearest(self, mass: Fraction) -> int:
        """A mass in whole steps."""
        return floor(mass / decimal(self.balance.step) + Fraction(1, 2))

    def bounds(self) -> tuple[int, int]:
        """Fewest and most steps."""
        step = decimal(self.balance.step)
        low = max(1, ceil(decimal(self.balance.least) / step)) * self.loads
        return low, floor(decimal(self.balance.room) / step) * self.loads


def placed(
    shares: Mapping[str, Fraction], balances: Sequence[Balance], batch: Fraction
) -> tuple[dict[str, Place], Fraction]:
    """Each material on its balance, and the batch rounded up to the coarsest step among them.

    Args:
        shares: material -> share [kg/kg].
        balances: at least one.
        batch: mass asked for [kg].
    """
    while True:
        places = {name: _place(share * batch, balances) for name, share in shares.items()}
        coarsest = max(decimal(place.balance.step) for place in places.values())
        rounded = ceil(batch / coarsest) * coarsest
        if rounded == batch:
            return places, batch
        batch = rounded


def _place(mass: Fraction, balances: Sequence[Balance]) -> Place:
    """The finest balance that holds a mass and reads so little, else the fewest loads."""
    finest_first = sorted(balances, key=lambda balance: balance.step)
    places = [Place(b, ceil(mass / decimal(b.room)), sensible=True) for b in finest_first]
    fitting = [p for p in places if p.nearest(mass) >= p.bounds()[0]]
    if fitting:
        return min(fitting, key=lambda place: place.loads)
    return Place(min(finest_first, key=lambda balance: balance.least), 1, sensible=False)
