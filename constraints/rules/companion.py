"""A material brings another along, or keeps another out."""

from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, ClassVar

from ..model.mix import fits
from ..model.row import row
from ..model.rule import Concedes, Kind, Pick, Rule, Side
from ..model.verdict import Verdict
from ..values.table import Table
from ..values.units import shown
from .scene import Scene
from .selecting import on_shelf, selected
from .written import Common, Written

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from ..model.frame import Frame
    from ..model.mix import Mix
    from ..model.row import Row


@dataclass(frozen=True, slots=True)
class Companion(Rule):
    """Where ``material`` is used, at least one of ``needs`` is, and none of ``never`` is.

    The same holds of each of ``alike``, the rest of a class; a material is no company of itself.
    ``by_class`` are those that no name of their own brought in.
    """

    material: str
    needs: tuple[str, ...]
    never: tuple[str, ...]
    alike: tuple[str, ...] = ()
    by_class: frozenset[str] = frozenset()

    varies: ClassVar[bool] = False

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``u − Σ u_needed ≤ 0`` and ``u + u_never ≤ 1``, for each material of which it is said."""
        return [one for name in self._each for one in self._rows(name, frame.choices)]

    def _rows(self, name: str, choices: "Mapping[str, int]") -> "Iterator[Row]":
        used = choices[name]
        if self.needs and name not in self.needs:
            needs = {used: 1.0} | {choices[other]: -1.0 for other in self.needs}
            yield row(self.id, "needs", needs, -inf, 0.0)
        for other in self.never:
            if other != name:
                both = {used: 1.0, choices[other]: 1.0}
                yield row(self.id, f"never with {other}", both, -inf, 1.0)

    @property
    def _each(self) -> tuple[str, ...]:
        return (self.material, *self.alike)

    def judged(self, mix: "Mix") -> Verdict:
        """Whether the company is right."""
        used = mix.used
        kept = all(self._kept(name, used) for name in self._each if name in used)
        return Verdict(self, None, kept, None, None)

    def _kept(self, name: str, used: frozenset[str]) -> bool:
        """Whether one that is used has the right company."""
        accompanied = not self.needs or bool(used & set(self.needs))
        return accompanied and not (used - {name}) & set(self.never)

    def uses(self) -> tuple[str, ...]:
        """The materials and all their company."""
        return tuple(dict.fromkeys((*self._each, *self.needs, *self.never)))

    def unnamed(self) -> frozenset[str]:
        """Those that a class brought in."""
        return self.by_class

    def limits(self) -> "Mapping[Side, float]":
        """None: it has no figure."""
        return {}

    def concedes(self) -> Concedes:
        """Given up whole, unless it is law."""
        return Concedes.NEVER if self.kind is Kind.LAW else Concedes.DROPS


def _read(entry: Table, scene: Scene, common: Common) -> Companion | None:
    text = entry.text("if_used", "the name of a material on the shelf, or of a class")
    used = _materials(entry, "if_used", text, scene) if text else ()
    needs, never = (_company(entry, key, used, scene) for key in ("needs", "never_with"))
    if not any(entry.values.get(key) for key in ("needs", "never_with")):
        entry.refuse("no needs and no never_with", "needs, never_with or both")
    for name in sorted({*needs} & {*never}):
        entry.refuse(f"{shown(name)} in needs and never_with", "each material in one of them")
    if not used:
        return None
    first, *alike = used
    named = {name for name in (text or "", *_said(entry)) if name and not _is_class(name)}
    every = {*used, *needs, *never}
    return Companion(
        **common,
        unit="",
        material=first,
        needs=needs,
        never=never,
        alike=tuple(alike),
        by_class=frozenset(every - {on_shelf(entry, "if_used", name, scene) for name in named}),
    )


def _said(entry: Table) -> tuple[str, ...]:
    """Every name in the company, once each of them was read."""
    lists = (entry.values.get(key) for key in ("needs", "never_with"))
    return tuple(str(name) for one in lists if isinstance(one, list) for name in one)


def _is_class(name: str) -> bool:
    return name.startswith(f"{Pick.CLASS}:")


def _materials(entry: Table, key: str, name: str, scene: Scene) -> tuple[str, ...]:
    """A material of the shelf; or those of a class, ``class:NAME``, as they are supplied."""
    if not _is_class(name):
        found = on_shelf(entry, key, name, scene)
        return () if found is None else (found,)
    of = selected(entry, key, name.partition(":")[2].strip(), (Pick.CLASS,), scene)
    if of is None:
        return ()
    there = tuple(one.name for one in scene.materials if fits(of, one, scene.substances))
    if not there and scene.complete:
        entry.refuse(f"{shown(of.name)}, of which the shelf has none", "a class on the shelf", key)
    return there


def _company(entry: Table, key: str, used: tuple[str, ...], scene: Scene) -> tuple[str, ...]:
    """The materials that others need or may never be with."""
    names = entry.names(key, 'a list of materials or classes, such as ["A", "class:chelant"]')
    found = [name for said in names for name in _materials(entry, key, said, scene)]
    if len(used) == 1 and used[0] in found:
        entry.refuse(shown(used[0]), "a material other than the one of if_used", key)
    return tuple(dict.fromkeys(found))


WRITTEN = Written(
    key="if_used",
    keys=("needs", "never_with"),
    read=_read,
    rules=(Companion,),
    example='if_used = "A"',
    says="`needs` one of these, `never_with` those; each a material, or `class:` and its name",
)
