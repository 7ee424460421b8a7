"""A weighted sum of substances lies between limits, as the annexes of the law count."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..model.frame import weighted
from ..model.row import between
from ..model.rule import Kind, Limited, Pick, Side
from ..model.verdict import within
from ..values.table import Table
from ..values.units import Dimension
from .limits import kept_between, share_step
from .scene import Scene
from .selecting import selected
from .written import LIMITS, Common, Written, limits_of, unit_of

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.lots import Flags, Floats, Lots
    from ..model.mix import Mix
    from ..model.row import Row
    from ..model.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Counting(Limited):
    """A weighted sum of substances lies between the limits, as the annexes count.

    ``factors`` gives the mass counted for each kg of a substance [kg/kg]: the mass of free acid in
    a salt, or 1 for a plain sum. A law that sets a most counts at the upper end of what a
    certificate allows, one that sets a least at the lower end, so that any lot keeps it; one that
    sets a single strength, at what is typical. It counts on the bar as sold, water lost in
    drying taken off.
    """

    factors: Mapping[str, float]

    @property
    def _end(self) -> str:
        if self.kind is not Kind.LAW or (self.low is not None and self.high is not None):
            return "typical"
        return "high" if self.low is None else "low"

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``low ≤ Σ f·a·x ≤ high``, with f the mass counted for a kg of substance."""
        counted = weighted(self.factors, frame, self._end)
        return [between(self.id, "sum", counted, (self.low, self.high))]

    def judged(self, mix: "Mix") -> "Verdict":
        """The sum as it counts."""
        value = mix.counted(self.factors, self._end)
        return within(self, value, idle=value == 0 and not self.low)

    def value_in(self, lots: "Lots") -> "Floats":
        """The sum as it counts: of a law, the same for every lot that the certificate allows."""
        if self.kind is Kind.LAW:
            return lots.alike(lots.mix.counted(self.factors, self._end))
        return lots.counted(self.factors)

    def kept_in(self, lots: "Lots") -> "Flags":
        """Between its limits."""
        return kept_between(self, self.value_in(lots))

    def uses(self) -> tuple[str, ...]:
        """None: a sum speaks of amounts."""
        return ()

    def step(self, side: Side) -> float:
        """That of a share."""
        return share_step(self.standing(side))

    def reach(self) -> tuple[float, float]:
        """From nothing to the whole bar."""
        return 0.0, 1.0

    def place(self, side: Side) -> int | None:
        """The one row."""
        return 0


def _read(entry: Table, scene: Scene, common: Common) -> Counting | None:
    named = entry.table("sum_of")
    low, high = limits_of(entry, Dimension.SHARE)
    if named is None:
        return None
    if not named.values:
        named.refuse(
            "no substance", 'substances with what each counts, such as "Sodium Benzoate" = 0.847'
        )
    factors = dict(_factors(named, scene))
    if low and scene.complete and factors and not factors.keys() & scene.substances.keys():
        entry.refuse("substances of which the shelf has none", "one that the shelf has", "sum_of")
    return Counting(**common, unit=unit_of(entry), low=low, high=high, factors=factors)


def _factors(named: Table, scene: Scene) -> list[tuple[str, float]]:
    factors: list[tuple[str, float]] = []
    for name in named.values:
        of = selected(named, name, name, (Pick.SUBSTANCE,), scene)
        factor = named.quantity(name, Dimension.RATIO)
        if factor == 0:
            named.refuse("0", "more than nothing", name)
        if of is not None and factor is not None:
            factors.append((of.name, factor))
    return factors


WRITTEN = Written(
    key="sum_of",
    keys=LIMITS,
    read=_read,
    rules=(Counting,),
    example='sum_of = { "Sodium Benzoate" = 0.847 }',
    says="a weighted sum of substances, as the law counts",
)
