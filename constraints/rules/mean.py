"""The mass-weighted mean of a material property lies between limits."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import fsum, inf
from typing import TYPE_CHECKING

from ..model.material import Form, Material
from ..model.row import between
from ..model.rule import Limited, Side
from ..model.verdict import within
from ..values.names import nearest_names
from ..values.table import Table
from ..values.units import Dimension, shown
from .density import Density
from .limits import kept_between, tenth_of_its_size
from .scene import Scene
from .written import LIMITS, Common, Written, limits_of, unit_of

if TYPE_CHECKING:
    from ..model.frame import Frame
    from ..model.lots import Flags, Floats, Lots
    from ..model.mix import Mix
    from ..model.row import Row
    from ..model.verdict import Verdict

WATER = "water"
"""The mean of which the lots of a material differ: the rest belongs to the material."""


@dataclass(frozen=True, slots=True)
class Mean(Limited):
    """The mass-weighted mean of a material property lies between the limits.

    ``values`` holds the property of every material on the shelf, in the canonical unit.
    """

    of: str
    values: Mapping[str, float]

    def rows(self, frame: "Frame", ionic_strength: float) -> "list[Row]":
        """``low ≤ Σ p·x ≤ high``."""
        values = {column: self._of(one) for column, one in enumerate(frame.materials)}
        return [between(self.id, "mean", values, (self.low, self.high))]

    def judged(self, mix: "Mix") -> "Verdict":
        """The mean over the mix."""
        value = fsum(self._of(material) * share for material, share in mix.shares)
        return within(self, value)

    def _of(self, material: Material) -> float:
        """What a material counts for; its water is that of the lot."""
        return _water(material) if self.of == WATER else self.values[material.name]

    def value_in(self, lots: "Lots") -> "Floats":
        """The mean over the mix."""
        if self.of == WATER:
            return lots.counted({"Water": 1.0})
        return lots.alike(self.judged(lots.mix).value)

    def kept_in(self, lots: "Lots") -> "Flags":
        """Between its limits."""
        return kept_between(self, self.value_in(lots))

    def uses(self) -> tuple[str, ...]:
        """None: a mean speaks of amounts."""
        return ()

    def step(self, side: Side) -> float:
        """A tenth of the power of ten below the limit."""
        return tenth_of_its_size(self.standing(side))

    def reach(self) -> tuple[float, float]:
        """Any figure from nothing up."""
        return 0.0, inf

    def place(self, side: Side) -> int | None:
        """The one row."""
        return 0


def _read(entry: Table, scene: Scene, common: Common) -> Mean | Density | None:
    own = tuple(dict.fromkeys(name for item in scene.items for name in item.own))
    known_words = (*_PROPERTIES, *own)
    word = entry.text("mean_of", f"one of {', '.join(known_words)}")
    if word is not None and word not in known_words:
        near = nearest_names(word, known_words)
        expected = f"one of {', '.join(known_words)}; or a column of the shelf, such as my foam"
        entry.refuse(shown(word), expected, "mean_of", nearest=near)
    if word is None or word not in known_words:
        return None
    dimension, value_of = _PROPERTIES.get(word, (Dimension.RATIO, None))
    low, high = limits_of(entry, dimension)
    values = {
        item.material.name: value_of(item.material) if value_of else item.own.get(word)
        for item in scene.items
    }
    file = "materials.toml" if value_of else "the shelf; 0 where it has none of it"
    for name, value in values.items():
        if value is None:
            expected = f"a material with a figure for it; give it one in {file}"
            entry.refuse(f"no {word} of {shown(name)}", expected, "mean_of")
    known = {name: value for name, value in values.items() if value is not None}
    if word == "density":
        return Density(**common, unit=unit_of(entry), low=low, high=high, values=known)
    return Mean(**common, unit=unit_of(entry), low=low, high=high, of=word, values=known)


def _water(material: Material) -> float:
    span = material.contents.get("Water")
    return span.typical if span else 0.0


_PROPERTIES: Mapping[str, tuple[Dimension, Callable[[Material], float | None]]] = {
    "density": (Dimension.DENSITY, lambda material: material.density),
    "solid share": (Dimension.SHARE, lambda material: float(material.form is Form.SOLID)),
    "specific heat": (
        Dimension.HEAT,
        lambda material: material.heat.specific if material.heat else None,
    ),
    WATER: (Dimension.SHARE, _water),
}

WRITTEN = Written(
    key="mean_of",
    keys=LIMITS,
    read=_read,
    rules=(Mean, Density),
    example='mean_of = "solid share"',
    says="a mean over the mix: solid share, water, specific heat, or a column of your own on the"
    " shelf whose name begins with `my`; or its `density`, volumes adding up",
)
