"""What is wrong with an input, as data: where it stands, what was found, what would be right.

Reading collects every problem and hands all of them back at once, as data. What a maker calls
raises them once, as :class:`InputError`, and the command line shows them once.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NoReturn, TypeVar


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


def shown(text: str) -> str:
    """A maker's text fit to stand in a message: one line, of moderate length, nothing unseen."""
    seen = "".join(char if char.isprintable() else f"\\u{ord(char):04x}" for char in text[:80])
    return seen if len(seen) <= 60 else seen[:59] + "…"


class InputError(Exception):
    """An input that cannot be used: raised by the calls a maker makes, with all that is wrong.

    Args:
        problems: everything wrong with the input.
    """

    def __init__(self, problems: Problems) -> None:
        super().__init__(problems)
        self.problems = problems

    def __str__(self) -> str:
        """The first problem in one line, and how many there are besides."""
        first, more = self.problems.items[0], len(self.problems.items) - 1
        place = ": ".join(part for part in (first.where.file, first.where.place) if part)
        near = f" (nearest: {', '.join(first.nearest)})" if first.nearest else ""
        besides = f"; and {more} more" if more else ""
        return f"{place}: found {first.found}, expected {first.expected}{near}{besides}"


class CheckFailedError(Exception):
    """An answer that fails the independent check: our failure, never shown as an answer."""


Read = TypeVar("Read")


def sound(read: Read | Problems) -> Read:
    """What was read.

    Raises:
        InputError: when there are problems instead.
    """
    if isinstance(read, Problems):
        raise InputError(read)
    return read


def refuse(place: str, found: str, expected: str, nearest: tuple[str, ...] = ()) -> NoReturn:
    """Turn one thing down.

    Raises:
        InputError: always.
    """
    raise InputError(Problems((Problem(Where(place), found, expected, nearest),)))


def refuse_all(problems: Iterable[Problem]) -> None:
    """Turn down what has problems; nothing happens where there is none.

    Raises:
        InputError: when there is one.
    """
    found = tuple(problems)
    if found:
        raise InputError(Problems(found))
