"""A cell of pH and ionic strength, and what it leaves of the activity of ions.

Ionic strength acts only through f, the −log10 of the activity coefficient of a singly charged ion.
"""

import math
from dataclasses import dataclass
from functools import cache

from .activity import davies
from .constants import constants

SLIP = 1e-12
"""More than the arithmetic of floats can lose, relative to the sum of what is added up."""

Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Cell:
    """A box of pH and ionic strength; the dispersion at a certain dilution lies inside.

    Args:
        ph: least and greatest pH.
        salt: least and greatest ionic strength [mol/kg water].
    """

    ph: Pair
    salt: Pair

    def holds(self, ph: float, ionic_strength: float) -> bool:
        """Whether a point lies in it, its edges included."""
        return self.ph[0] <= ph <= self.ph[1] and self.salt[0] <= ionic_strength <= self.salt[1]

    def within(self, size: "Cell") -> bool:
        """Whether it is no wider than another, either way."""
        tall, wide = self.ph[1] - self.ph[0], self.salt[1] - self.salt[0]
        return tall <= size.ph[1] - size.ph[0] and wide <= size.salt[1] - size.salt[0]

    @property
    def halves(self) -> tuple["Cell", "Cell"]:
        """Its halves across the wider side, of a whole pH or of the span of f."""
        low, high = davies_span(self.salt)
        tall, wide = self.ph[1] - self.ph[0], STEEP * (high - low)
        # f levels off below what a model is trusted for; the ionic balance still tells salt apart
        wide = max(wide, self.salt[1] - self.salt[0])
        if tall >= wide:
            middle = _short((self.ph[0] + self.ph[1]) / 2.0)
            return Cell((self.ph[0], middle), self.salt), Cell((middle, self.ph[1]), self.salt)
        root = (math.sqrt(self.salt[0]) + math.sqrt(self.salt[1])) / 2.0
        middle = _short(root * root)
        return Cell(self.ph, (self.salt[0], middle)), Cell(self.ph, (middle, self.salt[1]))


STEEP = 5.0
"""How far a step of f moves the pH of a group of several charges: 2z − 1 of the third step."""


def _short(value: float) -> float:
    """A place to cut at, written with few digits."""
    return float(f"{value:.6g}")


def widest() -> Cell:
    """All that the model is trusted for.

    At an ionic strength of at most I the molality of H⁺ and of OH⁻ is at most 2·I, which bounds the
    pH from both sides; f is at least 0.
    """
    known = constants()
    span = math.log10(2.0 * known.trusted_to)
    return Cell((_short(-span - 0.01), _short(known.pkw + span + 0.01)), (0.0, known.trusted_to))


@cache
def davies_span(salt: Pair) -> Pair:
    """Least and greatest f over a span of ionic strength, rounded outward.

    f is concave in the ionic strength: least at an end, and at no point above a tangent.
    """
    low, high = salt
    ends = davies(low), davies(high)
    slack = SLIP + SLIP * max(map(abs, ends))
    top = min(max(_peak(), low), high)
    return min(ends) - slack, davies(top) + _peak_slack() + slack


@cache
def _peak() -> float:
    """The ionic strength at which f is greatest: where 2·√I·(1 + √I)² = 1/b, by bisection."""
    low, high = 0.0, 1.0 / constants().davies_b
    for _ in range(80):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _slope(middle) > 0 else (low, middle)
    return low


def _slope(ionic_strength: float) -> float:
    """df/dI over A [kg/mol]."""
    root = math.sqrt(ionic_strength)
    return math.inf if root == 0 else 0.5 / (root * (1.0 + root) ** 2) - constants().davies_b


def _peak_slack() -> float:
    """What f can lie above its value at the peak found: the tangent there, to the far end."""
    return abs(_slope(_peak())) * constants().davies_a * constants().held_beyond
