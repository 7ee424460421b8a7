"""How a kind of rule stands in a brief: its first line, its other keys, and how it is read."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import NotRequired, TypedDict

from ..model.rule import Kind, Rule
from ..model.uncertainty import Uncertainty
from ..values.problem import Source, SourceKind, Where
from ..values.table import Table, worded
from ..values.units import Dimension, split
from .scene import Scene

LIMITS = ("min", "max")
COMMON = ("kind", "because", "source", "holds")


class Common(TypedDict):
    """What every rule says of itself."""

    id: str
    kind: Kind
    because: str
    where: Where
    source: Source | None
    within: NotRequired[Uncertainty | None]


class Holds(StrEnum):
    """For which lots of the materials a rule is to hold."""

    TYPICAL = "typical"
    ALWAYS = "always"


@dataclass(frozen=True, slots=True)
class Written:
    """A kind of rule as a maker writes it.

    Args:
        key: the key of its first line, by which it is known.
        keys: the other keys it takes.
        read: the rule in a table; what is wrong is noted in the table's problems.
        rules: the classes it is read into.
        example: its first line, as the documents show it.
        says: what must hold, for the documents.
    """

    key: str
    keys: tuple[str, ...]
    read: Callable[[Table, Scene, Common], Rule | None]
    rules: tuple[type[Rule], ...]
    example: str
    says: str


def common_of(entry: Table) -> Common:
    """What a rule says of itself; what is missing is noted, and the rule is then not to be made."""
    kind = entry.word("kind", Kind, needed=True)
    because = entry.text("because", 'because = "the reason, in your words"', needed=True)
    citation = entry.text("source", "where the rule comes from")
    holds = entry.word("holds", Holds)
    if holds is Holds.ALWAYS and kind is Kind.LAW:
        entry.refuse(
            "always, of a law", "no holds: a law counts as it counts, at its own end", "holds"
        )
    return {
        "id": entry.path[-1],
        "kind": kind or Kind.HOUSE,  # noted as missing: such a rule is never given out
        "because": because or "",
        "where": entry.where(),
        "source": _source(citation, kind) if citation and kind else None,
        "within": Uncertainty() if holds is Holds.ALWAYS else None,
    }


def _source(citation: str, kind: Kind) -> Source:
    """A quoted source is trusted as its own words say, else as the kind of rule goes."""
    said = {str(one): one for one in (SourceKind.PRACTICE, SourceKind.MEMORY)}
    return Source(citation, said.get(citation, _TRUST[kind]))


_TRUST = {
    Kind.LAW: SourceKind.LAW,
    Kind.ADVICE: SourceKind.CERTIFICATE,
    Kind.PRACTICE: SourceKind.PRACTICE,
    Kind.HOUSE: SourceKind.MEASURED,
}


def limits_of(
    entry: Table,
    dimension: Dimension,
    rates: Mapping[str, float] | None = None,
    needed: tuple[str, ...] = (),
) -> tuple[float | None, float | None]:
    """The lower and the upper limit; a rule without any, or with the two crossed, is noted."""
    low, high = (entry.quantity(key, dimension, rates=rates) for key in LIMITS)
    missing = [key for key in needed if key not in entry]
    if missing or not any(key in entry for key in LIMITS):
        entry.refuse(f"no {' and no '.join(missing or LIMITS)}", _both_or_either(needed))
    if low is not None and high is not None and low > high:
        found = f"{worded(entry.values['min'])} to {worded(entry.values['max'])}"
        entry.refuse(found, "a min that is not above the max", "min")
    return low, high


def _both_or_either(needed: tuple[str, ...]) -> str:
    return "both min and max" if len(needed) == 2 else "min, max or both"


def unit_of(entry: Table) -> str:
    """The unit in which the maker wrote the limits."""
    values = (entry.values.get(key) for key in LIMITS)
    return next((split(value)[1] for value in values if isinstance(value, str)), "")
