"""What is used is there in a share that is worth weighing."""

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, ClassVar

from ..model.mix import TRACE, fits
from ..model.row import row
from ..model.rule import Limited, Side
from ..model.verdict import asks_nothing, within
from ..values.table import Table, worded
from ..values.units import Dimension, split
from .dose import USED
from .limits import share_step
from .scene import Scene
from .selecting import counted, selector_of
from .written import Common, Written

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.mix import Mix
    from ..model.row import Row
    from ..model.verdict import Verdict


@dataclass(frozen=True, slots=True)
class LeastShare(Limited):
    """Each of these materials is left out, or has at least this share [kg/kg of mix]."""

    materials: tuple[str, ...]

    varies: ClassVar[bool] = False

    @property
    def word(self) -> str:
        """In two words."""
        return "least share"

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``low·u ≤ x ≤ u`` for each, with u 1 where it is used."""
        there = (name for name in self.materials if name in frame.index)
        return [one for name in there for one in self._rows(name, frame)]

    def _rows(self, name: str, frame: "Frame") -> "tuple[Row, Row]":
        share, used = frame.index[name], frame.choices[name]
        low = max(USED, self.low or 0.0)
        return (
            row(self.id, f"at least of {name}", {share: 1.0, used: -low}, 0.0, inf),
            row(self.id, f"at most of {name}", {share: 1.0, used: -1.0}, -inf, 0.0),
        )

    def judged(self, mix: "Mix") -> "Verdict":
        """The smallest share of any of them that is used."""
        shares = (mix.share_of(name) for name in self.materials)
        there = [share for share in shares if share > TRACE]
        return within(self, min(there)) if there else asks_nothing(self)

    def uses(self) -> tuple[str, ...]:
        """Each of them."""
        return self.materials

    def ties(self) -> tuple[str, ...]:
        """Each of them: used is what has a share."""
        return self.materials

    def unnamed(self) -> frozenset[str]:
        """All: none of them needs a dose of its own for this."""
        return frozenset(self.materials)

    def step(self, side: Side) -> float:
        """That of a share."""
        return share_step(self.standing(side))

    def reach(self) -> tuple[float, float]:
        """From nothing to the whole bar."""
        return 0.0, 1.0

    def place(self, side: Side) -> int | None:
        """None: the limit stands beside the choice in every row."""
        return None


def _read(entry: Table, scene: Scene, common: Common) -> LeastShare | None:
    least = entry.quantity("least_share", Dimension.SHARE)
    if least == 0:
        found = worded(entry.values["least_share"])
        entry.refuse(found, 'more than 0 %, such as "0.1 %"', "least_share")
    (of,) = counted(entry, [selector_of(entry, "of", scene)]) if "of" in entry else (None,)
    if least is None or ("of" in entry and of is None):
        return None
    there = tuple(
        item.material.name
        for item in scene.items
        if item.available and (of is None or fits(of, item.material, scene.substances))
    )
    if not there and scene.complete:
        entry.refuse(f"{worded(entry.values['of'])}, of which the shelf has none", "some", "of")
    unit = split(str(entry.values["least_share"]))[1]
    return LeastShare(**common, unit=unit, low=least, high=None, materials=there)


WRITTEN = Written(
    key="least_share",
    keys=("of", "count"),
    read=_read,
    rules=(LeastShare,),
    example='least_share = "0.1 %"',
    says="each material is left out, or has at least so much; with `of` only what that names",
)
