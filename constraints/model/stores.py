"""The stores: every material and substance that is known, on the shelf or not."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from .material import Material
from .substance import Substance

Entry = TypeVar("Entry", Substance, Material)


@dataclass(frozen=True, slots=True, eq=True)
class Over(Mapping[str, Entry]):
    """Entries over others: one name is looked for in the first, then in the second."""

    own: Mapping[str, Entry]
    under: Mapping[str, Entry]

    def __getitem__(self, name: str) -> Entry:
        return self.own[name] if name in self.own else self.under[name]

    def __iter__(self) -> Iterator[str]:
        return iter(dict.fromkeys((*self.own, *self.under)))

    def __len__(self) -> int:
        return len({*self.own, *self.under})


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

    def under(
        self,
        materials: Mapping[str, Material],
        substances: Mapping[str, Substance],
        spoilt: frozenset[str] = frozenset(),
    ) -> "Stores":
        """The same with the maker's entries over it; entries of one name are the maker's."""
        known, contained = Over(materials, self.materials), Over(substances, self.substances)
        return Stores(known, contained, self.spoilt | spoilt, tuple(known), tuple(contained))

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
