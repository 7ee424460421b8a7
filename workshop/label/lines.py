"""What stands on a box."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ...constraints.market.claim import Claim
from ...constraints.market.limit import Limit
from ...constraints.market.notice import Notice
from ...constraints.model.material import Span
from ...constraints.values.problem import Source
from ...constraints.values.told import Told


class Group(StrEnum):
    """Where an ingredient stands in the list."""

    ORDERED = "descending"
    FREE = "in any order"
    COLOURANT = "colourant"


class Doubt(StrEnum):
    """Why two neighbours in the list might stand the other way round."""

    WEIGHING = "less than a scale step apart"
    CONTENTS = "within the range of what the materials contain"


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One name in the list.

    Args:
        name: as printed.
        share: of the mix as weighed [kg/kg].
        group: where it stands.
        substances: what it is made of, by catalogue name.
        entry: annex entry that wants it named as an allergen, else empty.
    """

    name: str
    share: Span
    group: Group
    substances: tuple[str, ...]
    entry: str


@dataclass(frozen=True, slots=True)
class NearTie:
    """Two neighbours of which the second may outweigh the first; ``apart`` in kg/kg of mix."""

    first: str
    second: str
    apart: float
    doubt: Doubt


@dataclass(frozen=True, slots=True, repr=False)
class Label(Told):
    """The box of a bar in one market.

    Args:
        market: "EU", "AU" or "US".
        product: what the maker calls it.
        heading: the word before the list.
        ingredients: in printed order.
        near_ties: neighbours whose order hangs on little.
        left_out: impurities and technical aids that are no ingredients [kg/kg of mix].
        near_threshold: allergens that the upper end of a certificate brings over the threshold.
        undeclared: scented materials of which no allergen is known.
        undecided: substances that may fall under one of several allergen entries, and these.
        net: the net content as printed, empty where the brief declares none.
        held: what a pack has to hold for it [kg]; the larger where two rounded units are printed;
            0 where the brief declares none.
        sold_at: the mass of a bar when sold, where what is declared is that when packed [kg],
            else ``None``.
        durability: how long it keeps as printed, empty where the maker did not say.
        particulars: what has to stand on the pack, and what fills it; empty is the maker's to fill.
        warnings: limits in use that want a warning on the label.
        notices: what the law says of what is inside that no rule can hold, and changes to come.
        claims: words of the pack that make more than a cosmetic of the bar.
        cautions: what makers write beyond the law.
        notes: what a maker should know.
        replaces_not: what this does not stand in for.
        no_claims: why no effect is claimed.
        caution: what the figures are.
        sources: of the order of the list and of the allergens.
    """

    market: str
    product: str
    heading: str
    ingredients: tuple[Ingredient, ...]
    near_ties: tuple[NearTie, ...]
    left_out: Mapping[str, float]
    near_threshold: tuple[str, ...]
    undeclared: tuple[str, ...]
    undecided: Mapping[str, tuple[str, ...]]
    net: str
    held: float
    sold_at: float | None
    durability: str
    particulars: tuple[tuple[str, str], ...]
    warnings: tuple[Limit, ...]
    notices: tuple[Notice, ...]
    claims: tuple[tuple[str, Claim], ...]
    cautions: tuple[str, ...]
    notes: tuple[str, ...]
    replaces_not: tuple[str, ...]
    no_claims: str
    caution: str
    sources: tuple[Source, ...]

    @property
    def text(self) -> str:
        """The list as printed."""
        return list_text(self.heading, self.ingredients)


def list_text(heading: str, ingredients: Sequence[Ingredient]) -> str:
    """The list as it is printed."""
    return f"{heading}: {', '.join(one.name for one in ingredients)}"
