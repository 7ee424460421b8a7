"""What a rule may speak of while it is read: the product, the shelf, and every known name."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ..model.material import Material
from ..model.purpose import Purpose
from ..model.rule import Pick
from ..model.shelf import Item
from ..model.substance import Substance
from ..values.names import Called


@dataclass(frozen=True, slots=True)
class Scene:
    """What a rule may speak of.

    Args:
        currency: of the brief.
        rates: currency -> how much of the brief's own it is; ``None`` where that could not be read.
        dilution: mass of bar in a mass of dispersion when pH is read [kg/kg]; ``None`` where the
            brief gives none that could be read.
        drying: water lost before sale [kg per kg of mix]; ``None`` likewise.
        stated: the keys of ``[product]``, so that what was misread is not called missing as well.
        markets: where the bar is sold.
        purposes: substance -> what it is there for, where the brief says.
        items: the shelf as far as it could be read.
        spoilt: names on the shelf and in the maker's materials that could not be read; a rule that
            names one of them is not to blame.
        substances: every substance that the shelf contains.
        names: every known name of a kind of thing.
        substance: a known substance by its exact name.
        advice: whether the brief asks for what suppliers advise as rules.
        heat_to: what melt is heated to [°C]; ``None`` where the brief does not say.
        listed: whether every name on the shelf is known, so that what is not there can be told.
        complete: whether the shelf was read without a problem, so that what it lacks can be told.
    """

    currency: str
    rates: Mapping[str, float] | None
    dilution: float | None
    drying: float | None
    stated: frozenset[str]
    markets: tuple[str, ...]
    purposes: Mapping[str, Purpose]
    items: tuple[Item, ...]
    spoilt: frozenset[str]
    substances: Mapping[str, Substance]
    names: Callable[[Pick], tuple[str, ...] | Called]
    substance: Callable[[str], Substance]
    advice: bool
    heat_to: float | None
    listed: bool
    complete: bool

    @property
    def materials(self) -> tuple[Material, ...]:
        """The materials on the shelf."""
        return tuple(item.material for item in self.items)
