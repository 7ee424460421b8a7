"""The stores: every material and substance that is known, on the shelf or not."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from .material import Material
from .substance import Substance


@dataclass(frozen=True, slots=True)
class Stores:
    """Everything known: the maker's own entries, and under them the catalogue.

    Args:
        materials: by name; an entry may be read only when it is asked for.
        substances: by name, in the same way.
        spoilt: names of the maker's entries that could not be read; their problems are noted.
        material_names: every material known, the maker's first.
        substance_names: every substance known, the maker's first.
    """

    materials: Mapping[str, Material] = field(default_factory=dict)
    substances: Mapping[str, Substance] = field(default_factory=dict)
    spoilt: frozenset[str] = frozenset()
    material_names: tuple[str, ...] = ()
    substance_names: tuple[str, ...] = ()

    def material(self, name: str) -> Material:
        """The material of that exact name.

        Raises:
            KeyError: when there is none.
        """
        return self.materials[name]

    def substance(self, inci: str) -> Substance:
        """The substance of that exact name.

        Raises:
            KeyError: when there is none.
        """
        return self.substances[inci]
