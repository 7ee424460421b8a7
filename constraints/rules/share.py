"""The share of something in the mix lies between limits; a bar without it has a limit of 0 %."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ..model.frame import picked
from ..model.row import between
from ..model.rule import Concedes, Counted, Limited, Pick, Selector, Side
from ..model.verdict import within
from ..values.table import Table, worded
from ..values.units import Dimension
from .limits import kept_between, share_step
from .scene import Scene
from .selecting import counted, must_be_there, no_count, selector_of
from .written import LIMITS, Common, Written, limits_of, unit_of

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.lots import Flags, Floats, Lots
    from ..model.mix import Mix
    from ..model.row import Row
    from ..model.verdict import Verdict

LET_IN = 0.01
"""How much of a material that is shut out is let in, to price its exclusion [kg/kg]."""


@dataclass(frozen=True, slots=True)
class Share(Limited):
    """The share of what is picked lies between the limits [kg/kg of mix]."""

    of: Selector

    @property
    def word(self) -> str:
        """A share, or something that the bar is without."""
        return "without" if self._without else "share"

    @property
    def _without(self) -> bool:
        return self.high == 0 and not self.low

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``low ≤ Σ s·x ≤ high``, with s 1 or the active share."""
        return [between(self.id, "share", picked(self.of, frame), (self.low, self.high))]

    def judged(self, mix: "Mix") -> "Verdict":
        """The mass that is picked in a kilogram of mix."""
        value = mix.picked(self.of)
        return within(self, value, idle=value == 0 and not self.low and not self._without)

    def value_in(self, lots: "Lots") -> "Floats":
        """The mass that is picked in a kilogram of mix."""
        return lots.picked(self.of)

    def kept_in(self, lots: "Lots") -> "Flags":
        """Between its limits."""
        return kept_between(self, self.value_in(lots))

    def uses(self) -> tuple[str, ...]:
        """None: a share speaks of amounts."""
        return ()

    def concedes(self) -> Concedes:
        """Its limits move; what a bar is to be without is let in whole or not at all."""
        given = Limited.concedes(self)
        return Concedes.DROPS if self._without and given is Concedes.MOVES else given

    def step(self, side: Side) -> float:
        """A whole per cent from 10 %, a tenth from 0.2 %, a hundredth below; 1 % of nothing."""
        return LET_IN if self._without else share_step(self.standing(side))

    def reach(self) -> tuple[float, float]:
        """From nothing to the whole bar."""
        return 0.0, 1.0

    def place(self, side: Side) -> int | None:
        """The one row."""
        return 0

    def shuts_out(self) -> Selector | None:
        """What it picks, under a limit of 0 %."""
        return self.of if self.high == 0 else None


def _read(entry: Table, scene: Scene, common: Common) -> Share | None:
    (of,) = counted(entry, [selector_of(entry, "share_of", scene)])
    low, high = limits_of(entry, Dimension.SHARE)
    if of is None:
        return None
    if low:
        must_be_there(entry, "share_of", of, scene)
    return Share(**common, unit=unit_of(entry), low=low, high=high, of=of)


def none_of(common: Common, of: Selector) -> Share:
    """A bar without what is picked: a limit of 0 % on every material that holds any of it."""
    first, *others = (replace(one, counted=_whole(one)) for one in of.each)
    whole = replace(first, also=tuple(others))
    return Share(**common, unit="%", low=None, high=0.0, of=whole)


def _whole(of: Selector) -> Counted:
    """What is counted by what is inside keeps out whatever holds any of it."""
    return Counted.HOLDING if of.inside else of.counted


def _read_without(entry: Table, scene: Scene, common: Common) -> Share | None:
    of = selector_of(entry, "without", scene)
    said = entry.word("count", Counted)
    if of is None:
        return None
    classes = [one for one in of.each if one.pick is Pick.CLASS]
    own = {one.counted for one in of.each}
    if not classes and said is not None and said not in own:
        entry.refuse(worded(entry.values["count"]), no_count(*sorted(own)), "count")
    first, *others = (
        replace(one, counted=said or _wider(entry, one.name, scene)) if one in classes else one
        for one in of.each
    )
    return none_of(common, replace(first, also=tuple(others)))


def _wider(entry: Table, name: str, scene: Scene) -> Counted:
    """Without a class: the counting that leaves out more, where one leaves out all of the other."""
    inside = {
        material.name
        for material in scene.materials
        if any(name in scene.substances[inci].classes for inci in material.contents)
    }
    whole = {material.name for material in scene.materials if name in material.classes}
    if not (inside <= whole or whole <= inside):
        expected = 'count = "active" (by the substances) or "supplied" (by the materials)'
        entry.lack("count", expected)
    return Counted.ACTIVE if whole <= inside else Counted.SUPPLIED


WRITTEN = Written(
    key="share_of",
    keys=("count", *LIMITS),
    read=_read,
    rules=(Share,),
    example='share_of = "surfactant"',
    says="the share of a class, substance, material, tag, `form:` or `phase:` lies between `min`"
    " and `max`, or that of several, as in `class:anionic + class:amphoteric` or a list; for a"
    " class `count` says whether the active substance counts or the whole material as supplied",
)
WITHOUT = Written(
    key="without",
    keys=("count",),
    read=_read_without,
    rules=(Share,),
    example='without = "tag:sulfate"',
    says="nothing of a class, substance, material or tag, or of several",
)
