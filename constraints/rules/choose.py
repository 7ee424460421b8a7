"""So many of some materials are used."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from ..model.row import between
from ..model.rule import Concedes, Kind, Limited, Side
from ..model.verdict import within
from ..values.table import Table
from .scene import Scene
from .selecting import on_shelf
from .written import Common, Written

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ..model.frame import Frame
    from ..model.mix import Mix
    from ..model.row import Row
    from ..model.verdict import Verdict


@dataclass(frozen=True, slots=True)
class Choose(Limited):
    """Of these materials, between ``low`` and ``high`` are used (whole numbers)."""

    among: tuple[str, ...]

    varies: ClassVar[bool] = False
    whole: ClassVar[bool] = True

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``low ≤ Σ u ≤ high``."""
        values = {frame.choices[name]: 1.0 for name in self.among}
        return [between(self.id, "choice", values, (self.low, self.high))]

    def judged(self, mix: "Mix") -> "Verdict":
        """How many of them are used."""
        return within(self, float(len(mix.used & set(self.among))))

    def uses(self) -> tuple[str, ...]:
        """Every material among which it chooses."""
        return self.among

    def limits(self) -> "Mapping[Side, float]":
        """None that moves: a number of materials is not moved by steps."""
        return {}

    def concedes(self) -> Concedes:
        """Given up whole, unless it is law."""
        return Concedes.NEVER if self.kind is Kind.LAW else Concedes.DROPS

    def step(self, side: Side) -> float:
        """One material."""
        return 1.0

    def reach(self) -> tuple[float, float]:
        """From none to all of them."""
        return 0.0, float(len(self.among))

    def place(self, side: Side) -> int | None:
        """None: no limit of it moves."""
        return None

    def offers(self) -> tuple[str, ...]:
        """Every material among which it chooses."""
        return self.among


def _read(entry: Table, scene: Scene, common: Common) -> Choose | None:
    names = entry.names("choose", 'a list of materials, such as ["A", "B"]')
    among = tuple(on_shelf(entry, "choose", name, scene) for name in names)
    if not names and "choose" in entry and entry.values["choose"] == []:
        entry.refuse("an empty list", "the materials to choose among", "choose")
    low, high = _how_many(entry, len(names))
    known = tuple(name for name in among if name is not None)
    return Choose(**common, unit="", low=low, high=high, among=tuple(dict.fromkeys(known)))


def _how_many(entry: Table, of: int) -> tuple[float | None, float | None]:
    exactly, least, most = (entry.whole(key, of) for key in _SAID)
    said = [key for key in _SAID if key in entry]
    if not said or ("exactly" in said and len(said) > 1):
        entry.refuse(" and ".join(said) or f"no {', no '.join(_SAID)}", _EXPECTED)
    if least is not None and most is not None and least > most:
        entry.refuse(f"{least} to {most}", "an at_least that is not above at_most", "at_least")
    low, high = (exactly, exactly) if exactly is not None else (least, most)
    return None if low is None else float(low), None if high is None else float(high)


_SAID = ("exactly", "at_least", "at_most")
_EXPECTED = "exactly = 1, or at_least, at_most or both"

WRITTEN = Written(
    key="choose",
    keys=_SAID,
    read=_read,
    rules=(Choose,),
    example='choose = ["A", "B"]',
    says="`exactly`, `at_least` or `at_most` so many of them are used",
)
