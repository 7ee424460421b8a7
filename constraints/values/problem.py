"""What is wrong with an input, as data: where it stands, what was found, what would be right.

A maker's mistake never raises. Reading collects every problem and hands all of them back at once.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


@dataclass(frozen=True, slots=True)
class Where:
    """A place in a file: ``place`` is a line and column or a path through a TOML table."""

    file: str
    place: str = ""


class SourceKind(StrEnum):
    """How far a figure can be trusted, best first."""

    LAW = "law"
    STANDARD = "standard"
    HANDBOOK = "handbook"
    PAPER = "paper"
    CERTIFICATE = "certificate"
    MEASURED = "measured"
    PRACTICE = "common practice, no source"
    MEMORY = "typical, from memory"


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure comes from; ``date`` is when it was read (ISO), empty where unknown."""

    citation: str
    kind: SourceKind
    date: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with an input.

    Args:
        where: the file and the place in it.
        found: what stands there.
        expected: what would be right.
        nearest: known names close to what was found, best first.
    """

    where: Where
    found: str
    expected: str
    nearest: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Problems:
    """Everything wrong with an input, in reading order; never empty."""

    items: tuple[Problem, ...]


def nearest_names(word: str, known: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """Known names a misspelt ``word`` may have meant, best first.

    >>> nearest_names("glycerine", ["glycerin, vegetable", "Glycerin", "water"])
    ('Glycerin', 'glycerin, vegetable')
    """
    import difflib  # only a mistake pays for it

    folded = {name.casefold(): name for name in known}
    wanted = word.casefold()
    close = difflib.get_close_matches(wanted, folded, n=most, cutoff=0.6)
    within = (
        sorted((name for name in folded if wanted[:5] in name), key=len) if len(wanted) > 4 else []
    )
    return tuple(folded[name] for name in dict.fromkeys([*close, *within]))[:most]
