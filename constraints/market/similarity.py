"""In what words two bars are compared: what every substance counts as.

Three ways of counting, each a partition of the whole mix: by function (surfactant, cationic, fatty
alcohol, …), by kind within a function (sulfate, amphoteric, …), and by the group to which functions
that stand in for each other belong (what hardens, what softens, …).
"""

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from ..data import text_of
from ..model.substance import Substance
from ..values.table import Table, table_of
from ..values.units import Dimension

if TYPE_CHECKING:
    from ..values.problem import Problem

_FILE = "likeness.toml"

REST = "the rest"
"""The function of a substance that bears none of the classes that count."""


@dataclass(frozen=True, slots=True)
class Function:
    """One of the things that a maker sees a bar as made of.

    Args:
        name: what it is called.
        classes: a substance that bears one of these counts here.
        kinds: classes that part it further, first match first.
        group: what it is kin to; its own name where it stands alone.
        weight: kilograms of bulk that a kilogram counts for [kg/kg].
        because: why a maker minds.
        by_effect: whether materials of known strength count by what they do, not by their mass.
        moves_first: whether it is what a maker moves first, to set the pH.
        may_fall: whether nobody minds that there is less of it.
        may_rise: whether it fills up what there is less of.
    """

    name: str
    classes: tuple[str, ...]
    kinds: tuple[str, ...]
    group: str
    weight: float
    because: str
    by_effect: bool = False
    moves_first: bool = False
    may_fall: bool = False
    may_rise: bool = False


@cache
def functions() -> tuple[Function, ...]:
    """The packaged functions, in the order in which a substance is matched."""
    problems: list[Problem] = []
    whole = table_of(_FILE, text_of(_FILE), problems)
    found = tuple(_function(entry) for entry in whole.tables()) if whole else ()
    if problems or not found:  # the file is ours: a mistake in it is never the maker's
        raise ValueError(problems)
    return found


def function_of(substance: Substance) -> str:
    """The function under which a substance counts.

    >>> from barwright.constraints.catalogue.catalogue import substance
    >>> function_of(substance("Cetearyl Alcohol")), function_of(substance("Panthenol"))
    ('fatty alcohol', 'vitamin')
    """
    found = matched(substance)
    return found.name if found else REST


def weight_of(function: str) -> float:
    """How many kilograms of bulk a kilogram of a function counts for [kg/kg].

    >>> weight_of("cationic"), weight_of("filler")
    (3.0, 1.0)
    """
    return next((one.weight for one in functions() if one.name == function), 1.0)


def kind_of(substance: Substance) -> str:
    """The function, and the kind within it where it has one.

    >>> from barwright.constraints.catalogue.catalogue import substance
    >>> kind_of(substance("Sodium Coco-Sulfate")), kind_of(substance("Water"))
    ('surfactant, sulfate', 'water')
    """
    found = matched(substance)
    if found is None:
        return REST
    kind = next((name for name in found.kinds if name in substance.classes), None)
    return f"{found.name}, {kind}" if kind else found.name


def group_of(substance: Substance) -> str:
    """The group of functions that can stand in for that of a substance."""
    found = matched(substance)
    return found.group if found else REST


def matched(substance: Substance) -> Function | None:
    """The function under which a substance counts, ``None`` for the rest."""
    return next((one for one in functions() if set(one.classes) & set(substance.classes)), None)


def _function(entry: Table) -> Function:
    name = entry.path[-1]
    return Function(
        name=name,
        classes=entry.names("classes", "classes of the vocabulary"),
        kinds=entry.names("kinds", "classes of the vocabulary") if "kinds" in entry else (),
        group=entry.text("group", "a word") or name,
        weight=entry.figure(entry.values.get("weight", 1), Dimension.RATIO, "weight") or 1.0,
        because=entry.text("because", "a reason", needed=True) or "",
        by_effect=entry.yes("by_effect"),
        moves_first=entry.yes("moves_first"),
        may_fall=entry.yes("may_fall"),
        may_rise=entry.yes("may_rise"),
    )
