"""The kinds of rule a brief can hold: what must be true of a composition, in trade words.

Every limit is a float in the canonical unit of its kind: shares in kg/kg, ratios in kg/kg, costs in
money/kg. ``unit`` remembers how the maker wrote it, for showing it back.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from ..values.problem import Source, Where


class Kind(StrEnum):
    """Whose rule it is, hardest first; a law is never relaxed."""

    LAW = "law"
    ADVICE = "advice"
    PRACTICE = "practice"
    HOUSE = "house"


class Counted(StrEnum):
    """Whether a share counts whole materials as weighed or the substances inside them."""

    SUPPLIED = "supplied"
    ACTIVE = "active"


class Pick(StrEnum):
    """What a name in a rule picks."""

    CLASS = "class"
    SUBSTANCE = "substance"
    MATERIAL = "material"
    TAG = "tag"


@dataclass(frozen=True, slots=True)
class Selector:
    """What a rule counts: a class, a substance, a material or a tag, and how it is counted."""

    pick: Pick
    name: str
    counted: Counted


@dataclass(frozen=True, slots=True)
class Rule:
    """What all rules have in common.

    Args:
        id: the name the maker gave it, unique in the brief; findings refer to rules by it.
        kind: whose rule it is.
        because: the maker's reason, shown back whenever the rule binds.
        unit: the unit the limits were written in ("%", "", "EUR/kg", "pH", …).
        where: where it is written.
        source: for a law or advice, the citation.
    """

    id: str
    kind: Kind
    because: str
    unit: str
    where: Where
    source: Source | None


@dataclass(frozen=True, slots=True)
class Limited(Rule):
    """A rule with a lower limit, an upper limit or both; ``None`` where a side is free."""

    low: float | None
    high: float | None

    def limit(self, side: str) -> float | None:
        """The ``"low"`` or the ``"high"`` limit."""
        return self.low if side == "low" else self.high


@dataclass(frozen=True, slots=True)
class Share(Limited):
    """The share of what is picked lies between the limits [kg/kg of mix]."""

    of: Selector


@dataclass(frozen=True, slots=True)
class Ratio(Limited):
    """The mass of ``of`` over the mass of ``to`` lies between the limits [kg/kg]."""

    of: Selector
    to: Selector


@dataclass(frozen=True, slots=True)
class Dose(Limited):
    """A material is left out or dosed between the limits [kg/kg of mix]; both limits are given."""

    material: str


@dataclass(frozen=True, slots=True)
class Counting(Limited):
    """A weighted sum of substances lies between the limits, as the annexes count.

    ``factors`` gives the mass counted for each kg of a substance [kg/kg]: the mass of free acid in
    a salt, or 1 for a plain sum. A law counts at the upper end of what a certificate allows, and on
    the bar as sold, water lost in drying taken off.
    """

    factors: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Mean(Limited):
    """The mass-weighted mean of a material property lies between the limits.

    ``values`` holds the property of every material on the shelf, in the canonical unit.
    """

    of: str
    values: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Density(Limited):
    """The density of the mix, pressed without voids, lies between the limits [kg/L].

    Volumes are taken to add up; ``values`` holds the density of every material on the shelf [kg/L].
    """

    values: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Cost(Limited):
    """The materials in a kilogram of mix cost at most the upper limit [money/kg]."""


@dataclass(frozen=True, slots=True)
class Acidity(Limited):
    """The pH of the bar dispersed in water lies between the limits.

    ``dilution`` is the mass of bar in a mass of dispersion [kg/kg]. With ``when`` the limits matter
    only where that material is used: a preservative that works only in acid.
    """

    dilution: float
    when: str | None = None


@dataclass(frozen=True, slots=True)
class Choose(Limited):
    """Of these materials, between ``low`` and ``high`` are used (whole numbers)."""

    among: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Companion(Rule):
    """Where ``material`` is used, at least one of ``needs`` is, and none of ``never`` is."""

    material: str
    needs: tuple[str, ...]
    never: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Without(Rule):
    """None of the materials picked is used."""

    of: Selector
