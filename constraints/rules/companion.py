"""A material brings another along, or keeps another out."""

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, ClassVar

from ..model.row import row
from ..model.rule import Concedes, Kind, Rule, Side
from ..model.verdict import Verdict
from ..values.table import Table
from ..values.units import shown
from .scene import Scene
from .selecting import on_shelf
from .written import Common, Written

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ..model.frame import Frame
    from ..model.mix import Mix
    from ..model.row import Row


@dataclass(frozen=True, slots=True)
class Companion(Rule):
    """Where ``material`` is used, at least one of ``needs`` is, and none of ``never`` is."""

    material: str
    needs: tuple[str, ...]
    never: tuple[str, ...]

    varies: ClassVar[bool] = False

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``u − Σ u_needed ≤ 0`` and ``u + u_never ≤ 1``."""
        used = frame.choices[self.material]
        rows = []
        if self.needs:
            needs = {used: 1.0} | {frame.choices[name]: -1.0 for name in self.needs}
            rows.append(row(self.id, "needs", needs, -inf, 0.0))
        rows += [
            row(self.id, f"never with {name}", {used: 1.0, frame.choices[name]: 1.0}, -inf, 1.0)
            for name in self.never
        ]
        return rows

    def judged(self, mix: "Mix") -> Verdict:
        """Whether the company is right."""
        used = mix.used
        idle = self.material not in used
        accompanied = not self.needs or bool(used & set(self.needs))
        kept = idle or (accompanied and not used & set(self.never))
        return Verdict(self, None, kept, None, None)

    def uses(self) -> tuple[str, ...]:
        """The material and all its company."""
        return (self.material, *self.needs, *self.never)

    def limits(self) -> "Mapping[Side, float]":
        """None: it has no figure."""
        return {}

    def concedes(self) -> Concedes:
        """Given up whole, unless it is law."""
        return Concedes.NEVER if self.kind is Kind.LAW else Concedes.DROPS


def _read(entry: Table, scene: Scene, common: Common) -> Companion | None:
    text = entry.text("if_used", "the name of a material on the shelf")
    material = on_shelf(entry, "if_used", text, scene) if text else None
    needs, never = (_company(entry, key, material, scene) for key in ("needs", "never_with"))
    if not any(entry.values.get(key) for key in ("needs", "never_with")):
        entry.refuse("no needs and no never_with", "needs, never_with or both")
    for name in needs:
        if name in never:
            entry.refuse(f"{shown(name)} in needs and never_with", "each material in one of them")
    if material is None:
        return None
    return Companion(**common, unit="", material=material, needs=needs, never=never)


def _company(entry: Table, key: str, material: str | None, scene: Scene) -> tuple[str, ...]:
    """The materials that another needs or may never be with."""
    names = entry.names(key, 'a list of materials, such as ["A"]')
    found = tuple(on_shelf(entry, key, name, scene) for name in names)
    if material is not None and material in found:
        entry.refuse(shown(material), "a material other than the one of if_used", key)
    return tuple(dict.fromkeys(name for name in found if name is not None))


WRITTEN = Written(
    key="if_used",
    keys=("needs", "never_with"),
    read=_read,
    rules=(Companion,),
    example='if_used = "A"',
    says="`needs` one of these, `never_with` those",
)
