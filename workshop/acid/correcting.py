"""From a reading at the bench to what to add to that batch.

A mix that reads otherwise than predicted holds a base or an acid that typical figures of its
materials do not account for. The reading says how much; with so much more in it the mix is
predicted anew.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import floor

from ...constraints.acidity.adjusting import Obstacle, adjusted
from ...constraints.acidity.charge import (
    Dispersion,
    equilibrium,
    in_water,
    ionic_strength_at,
    net_charge,
)
from ...constraints.acidity.coefficients import Parts
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.material import Material
from ...constraints.model.uncertainty import Uncertainty
from ...constraints.rules.acidity import Acidity, band_of
from ...constraints.rules.extreme import extreme
from ...constraints.rules.judging import mix_of
from ...constraints.values.told import Told

STEP = 0.2
"""The step of pH from line to line of a table of corrections."""

_ROUNDS = 6
_HALVINGS = 45
_MOST = 0.05


@dataclass(frozen=True, slots=True, repr=False)
class Corrected(Told):
    """What to add to a batch that reads so.

    Args:
        reads: the pH that was read.
        material: what is added.
        amount: to the whole batch, in whole steps of a balance [kg]; 0 where it needs none;
            ``None`` where none will do.
        ph: what it then has, if what the reading shows is a strong base or acid; ``None`` likewise.
        obstacle: why none will do.
        limited_by: a rule that so much would break, if any.
        room: so much breaks none [kg]; ``None`` where nothing is added.
    """

    reads: float
    material: str
    amount: float | None
    ph: float | None
    obstacle: Obstacle | None
    limited_by: str | None
    room: float | None = None


def corrected(
    bench: Bench, composition: Composition, material: str, reads: float, batch: float
) -> Corrected:
    """What to add to a batch that reads a pH, so that it comes to the middle of the brief's band.

    Args:
        bench: what was read.
        composition: what was weighed.
        material: the acid or base that is added.
        reads: pH at the dilution of the brief.
        batch: mass of the mix [kg].

    Raises:
        KeyError: when the material is not on the shelf.
        ValueError: when the brief has no rule on pH that holds whatever is used.
    """
    band = _band(bench)
    asked = _Asked.of(bench, composition, bench.material(material), band, reads)
    if asked.kept(reads):
        return Corrected(reads, material, 0.0, reads, None, None)
    aim = _aim(band)
    rising = aim > reads
    if (asked.ph(_MOST) > reads) != rising:
        return Corrected(reads, material, None, None, Obstacle.AWAY, None)
    needed = asked.needed(aim, rising=rising)
    most, by = asked.most(needed)
    amount = _in_steps(bench, needed * batch)
    ph = asked.ph(amount / batch)
    if needed > 0.99 * _MOST and not asked.kept(ph):
        return Corrected(reads, material, None, None, Obstacle.WEAK, None)
    return Corrected(reads, material, amount, ph, None, by, _in_steps(bench, most * batch))


def corrections(
    bench: Bench, composition: Composition, material: str, batch: float
) -> tuple[Corrected, ...]:
    """A table of what to add, over the readings that the lots of the materials may lead to.

    Args:
        bench: what was read.
        composition: what is weighed.
        material: the acid or base that is added.
        batch: mass of the mix [kg].

    Raises:
        KeyError: when the material is not on the shelf.
        ValueError: when the brief has no rule on pH that holds whatever is used.
    """
    band = _band(bench)
    mix = mix_of(bench, composition)
    low, high = (extreme(band, mix, Uncertainty(), sense)[0] for sense in (1.0, -1.0))
    found = (corrected(bench, composition, material, at, batch) for at in _readings(low, high))
    return tuple(one for one in found if one.amount != 0.0 and one.obstacle is not Obstacle.AWAY)


def _band(bench: Bench) -> Acidity:
    band = band_of(bench.brief)
    if band is None:
        raise ValueError("a correction needs a rule on pH, to know where to go")
    return band


def _readings(low: float, high: float) -> Sequence[float]:
    first = floor(low / STEP)
    return [round(one * STEP, 1) for one in range(first, floor(high / STEP) + 2)]


def _aim(band: Acidity) -> float:
    """The middle of a band; just inside one that is open."""
    if band.low is None or band.high is None:
        return band.standing("high" if band.low is None else "low")
    return (band.low + band.high) / 2.0


@dataclass(frozen=True, slots=True)
class _Asked:
    """A batch that reads a pH."""

    bench: Bench
    composition: Composition
    material: Material
    band: Acidity
    parts: Parts
    base: float
    """Strong base that the reading shows beyond what is known [mol per kg of dispersion]."""

    @classmethod
    def of(
        cls,
        bench: Bench,
        composition: Composition,
        material: Material,
        band: Acidity,
        reads: float,
    ) -> "_Asked":
        parts = bench.parts_of(composition)
        base = _unexplained(in_water(parts, bench.substances, band.dilution), reads)
        return cls(bench, composition, material, band, parts, base)

    def kept(self, ph: float) -> bool:
        low, high = self.band.low, self.band.high
        return (low is None or ph >= low) and (high is None or ph <= high)

    def ph(self, added: float) -> float:
        """With so much of the material on top [kg per kg of mix]."""
        parts = adjusted(self.parts, self.material, added)
        mix = in_water(parts, self.bench.substances, self.band.dilution)
        return equilibrium(_with_base(mix, self.base / (1.0 + added)))[0]

    def needed(self, aim: float, *, rising: bool) -> float:
        """[kg per kg of mix] to come to a pH; as much as is thought of where it cannot."""
        low, high = 0.0, _MOST
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if (self.ph(middle) < aim) == rising else (low, middle)
        return (low + high) / 2.0

    def most(self, wanted: float) -> tuple[float, str | None]:
        """So much as the other rules allow, up to what is wanted, and the rule that allows no more.

        A rule that is broken before anything is added is none that an addition breaks.
        """
        mix = mix_of(self.bench, self.composition)
        item = self.bench.item(self.material.name)
        rules = [rule for rule in self.bench.brief.rules if not rule.corrected]
        standing = [rule for rule in rules if rule.judged(mix).kept]

        def breaks(added: float) -> str | None:
            more = mix.with_more(item.material, item.price, added)
            return next((rule.id for rule in standing if not rule.judged(more).kept), None)

        by = breaks(wanted)
        if by is None:
            return wanted, None
        low, high = 0.0, wanted
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            low, high = (low, middle) if breaks(middle) else (middle, high)
        return low, breaks(high)


def _unexplained(mix: Dispersion, reads: float) -> float:
    """Strong base that a reading shows beyond what is known [mol per kg of dispersion]."""
    base = 0.0
    for _ in range(_ROUNDS):  # the ions it brings change the ionic strength a little
        known = _with_base(mix, base)
        base -= net_charge(known, reads, ionic_strength_at(known, reads))
    return base


def _with_base(mix: Dispersion, base: float) -> Dispersion:
    return replace(
        mix,
        fixed_charge=mix.fixed_charge + base,
        fixed_squares=mix.fixed_squares + abs(base),
    )


def _in_steps(bench: Bench, mass: float) -> float:
    """A mass in whole steps of the finest balance, never more than it was [kg]."""
    steps = [balance.step for balance in bench.brief.balances]
    step = min(steps, default=1e-5)
    return floor(mass / step + 1e-9) * step
