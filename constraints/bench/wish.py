"""What is to change, as the maker says it, and where a change starts."""

from collections.abc import Mapping
from dataclasses import dataclass

from ..model.brief import Bench, Composition
from ..values.problem import Where
from ..values.told import Told

ASKED = Where("the command line")


@dataclass(frozen=True, slots=True, repr=False)
class Wish(Told):
    """What is to change, as the maker says it.

    Args:
        without: materials that may not be used any more.
        wanted: materials that may come in.
        avoid: substances, classes or tags of which nothing may be in the bar.
        prices: material -> price as written, for what is not on the shelf.
    """

    without: tuple[str, ...] = ()
    wanted: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    prices: Mapping[str, str] | None = None


@dataclass(frozen=True, slots=True, repr=False)
class Start(Told):
    """Where a change starts.

    Args:
        bench: the shelf with what the formulas hold beside it, and what is not to be used as rules.
        formulas: as they are made today.
        without: names of the materials that may not be used.
        wanted: names of the materials that may come in.
        unpriced: materials of the formulas whose price is not known; they count as costing nothing.
        ruled_out: ids of the rules that the wish added.
    """

    bench: Bench
    formulas: tuple[Composition, ...]
    without: tuple[str, ...]
    wanted: tuple[str, ...]
    unpriced: frozenset[str]
    ruled_out: tuple[str, ...]
