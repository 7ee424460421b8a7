"""Checked access to TOML tables: each wrong turn becomes a problem that knows its place."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from math import isfinite
from typing import TypeVar

from .day import day_of
from .door import SEEN, endless_in, unseen_below
from .names import nearest_names
from .problem import Problem, Where
from .text import text_of
from .units import Dimension, Misread, parse, shown

Path = tuple[str, ...]
Word = TypeVar("Word", bound=StrEnum)


@dataclass(frozen=True, slots=True)
class Table:
    """A table of a TOML file, the way to it, and the list where its problems gather.

    Args:
        file: as shown to the maker.
        path: keys from the top of the file.
        values: what stands in it.
        lines: path -> line, where the text was searched for them.
        problems: one list for the whole reading, in reading order.
        elsewhere: path -> file and lines, for what was taken from another file.
    """

    file: str
    path: Path
    values: Mapping[str, object]
    lines: Mapping[Path, int]
    problems: list[Problem]
    elsewhere: Mapping[Path, tuple[str, Mapping[Path, int]]] = field(default_factory=dict)

    def __contains__(self, key: str) -> bool:
        return key in self.values

    def where(self, *keys: str) -> Where:
        """The place of a key below this table."""
        path = (*self.path, *keys)
        file, lines = self.home(path)
        return Where(file, place_of(path, lines))

    def home(self, path: Path) -> tuple[str, Mapping[Path, int]]:
        """The file in which a path from the top is written, and its lines."""
        for length in range(len(path), 0, -1) if self.elsewhere else ():
            if path[:length] in self.elsewhere:
                return self.elsewhere[path[:length]]
            if path[:length] in self.lines:
                break
        return self.file, self.lines

    def refuse(self, found: str, expected: str, *keys: str, nearest: tuple[str, ...] = ()) -> None:
        """Note a problem at a key below this table."""
        self.problems.append(Problem(self.where(*keys), found, expected, nearest))

    def lack(self, key: str, expected: str) -> None:
        """Note that a key is missing."""
        self.refuse(f"no {key}", expected)

    def only(self, known: Iterable[str]) -> None:
        """Note every key that is not among those known."""
        names = tuple(known)
        for key in self.values:
            if key not in names:
                near = nearest_names(key, names)
                self.refuse(shown(key), f"one of {', '.join(names)}", key, nearest=near)

    def text(self, key: str, expected: str, *, needed: bool = False) -> str | None:
        """The text of a key, not blank."""
        value = self.values.get(key)
        if value is None:
            if needed:
                self.lack(key, expected)
            return None
        if isinstance(value, str) and value.strip():
            return value
        self.refuse(worded(value), expected, key)
        return None

    def day(self, key: str, expected: str, *, needed: bool = False) -> str | None:
        """A day of the calendar under a key (ISO)."""
        value = self.values.get(key)
        day = None if value is None else day_of(value)
        if value is None and needed:
            self.lack(key, expected)
        elif value is not None and day is None:
            self.refuse(worded(value), expected, key)
        return day

    def word(self, key: str, kinds: type[Word], *, needed: bool = False) -> Word | None:
        """One word of a list."""
        known = tuple(kind.value for kind in kinds)
        expected = f"one of {', '.join(known)}"
        text = self.text(key, expected, needed=needed)
        if text is None:
            return None
        if text in known:
            return kinds(text)
        self.refuse(shown(text), expected, key, nearest=nearest_names(text, known))
        return None

    def whole(self, key: str, most: int) -> int | None:
        """A whole number from 0 to ``most``."""
        value = self.values.get(key)
        if value is None:
            return None
        if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= most:
            return value
        self.refuse(worded(value), f"a whole number from 0 to {most}", key)
        return None

    def yes(self, key: str) -> bool:
        """Whether a key says ``true``; absent is ``false``."""
        value = self.values.get(key, False)
        if isinstance(value, bool):
            return value
        self.refuse(worded(value), "true or false", key)
        return False

    def names(self, key: str, expected: str) -> tuple[str, ...]:
        """A list of texts, none of them blank or twice there; empty where absent or wrong."""
        value = self.values.get(key, [])
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            self.refuse(worded(value), expected, key)
            return ()
        if not all(one.strip() for one in value):
            self.refuse("a blank name", expected, key)
        for name in sorted({one for one in value if value.count(one) > 1}):
            self.refuse(f"{shown(name)} twice", "each name once", key)
        return tuple(dict.fromkeys(one for one in value if one.strip()))

    def table(self, key: str) -> "Table | None":
        """The table under a key, or ``None`` where absent or no table."""
        value = self.values.get(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            self.refuse(worded(value), "a table", key)
            return None
        return replace(self, path=(*self.path, key), values=value)

    def tables(self) -> "Iterable[Table]":
        """Every table below this one, in order; what is no table is noted."""
        found = (self.table(key) for key in self.values)
        return [table for table in found if table is not None]

    def quantity(
        self,
        key: str,
        dimension: Dimension,
        *,
        needed: str = "",
        rates: Mapping[str, float] | None = None,
    ) -> float | None:
        """The figure under a key in its canonical unit; ``needed`` says what to write if absent."""
        value = self.values.get(key)
        if value is None:
            if needed:
                self.lack(key, needed)
            return None
        return self.figure(value, dimension, key, rates=rates)

    def figure(
        self,
        value: object,
        dimension: Dimension,
        *keys: str,
        rates: Mapping[str, float] | None = None,
    ) -> float | None:
        """A value as a figure in its canonical unit."""
        read = parse(str(value) if _figured(value) else "", dimension, rates)
        if not isinstance(read, Misread):
            return read
        self.refuse(read.found or worded(value), read.expected, *keys, nearest=read.nearest)
        return None


def worded(value: object) -> str:
    """A TOML value as a maker would name it.

    >>> worded(45), worded(True), worded([1])
    ('45', 'true', 'a list')
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list" if value else "an empty list"
    if isinstance(value, str):
        return shown(value) if value.strip() else "an empty text"
    if isinstance(value, int) and abs(value) >= _ENDLESS:
        return "a number without end"
    return shown(str(value))


def _figured(value: object) -> bool:
    if isinstance(value, bool):
        return False
    if isinstance(value, float):
        return isfinite(value)
    return isinstance(value, str) or (isinstance(value, int) and abs(value) < _ENDLESS)


_ENDLESS = 10**300  # a whole number in TOML has no limit; a float and str() have one


def place_of(path: Path, lines: Mapping[Path, int]) -> str:
    """A place in words: ``line 12, rules."wax to oil".min``; the line of the nearest known key."""
    named = ".".join(key if _BARE.fullmatch(key) else f'"{shown(key)}"' for key in path)
    for length in range(len(path), 0, -1):
        if path[:length] in lines:
            return f"line {lines[path[:length]]}, {named}"
    return named


_BARE = re.compile(r"[A-Za-z0-9_-]+")
_PART = r"""(?:[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*')"""
_KEYS = rf"\s*({_PART}(?:\s*\.\s*{_PART})*)\s*"
_LINE = re.compile(rf"\s*\[{_KEYS}\]|{_KEYS}=")
_PARTS = re.compile(_PART)


def lines_of(text: str) -> dict[Path, int]:
    """Where each key of a TOML text stands: path -> line, counted from 1."""
    lines: dict[Path, int] = {}
    head: Path = ()
    for number, line in enumerate(text.split("\n"), start=1):
        match = _LINE.match(line)
        if match is None:
            continue
        if match[1] is not None:
            head = path = _path(match[1])
        else:
            path = (*head, *_path(match[2]))
        for length in range(1, len(path) + 1):
            lines.setdefault(path[:length], number)
    return lines


def _path(dotted: str) -> Path:
    return tuple(part.strip("\"'") for part in _PARTS.findall(dotted))


def table_of(file: str, content: str | bytes, problems: list[Problem]) -> Table | None:
    """A TOML file as a table, or ``None`` with the problem noted."""
    import tomllib

    text = text_of(file, content, problems)
    if text is None:
        return None
    text = text.replace("\r\n", "\n").removeprefix("\ufeff")
    endless = endless_in(text)
    if endless:
        line, found, expected = endless
        problems.append(Problem(Where(file, f"line {line}"), found, expected))
        return None
    try:
        values = tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # numbers and nesting can be endless too
        problems.append(_ill_formed(file, text, str(error)))
        return None
    lines = lines_of(text)
    problems.extend(
        Problem(Where(file, place_of(path, lines)), found, SEEN)
        for path, found in unseen_below(values)
    )
    return Table(file, (), values, lines, problems)


def _ill_formed(file: str, text: str, message: str) -> Problem:
    match = re.fullmatch(
        r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", message, re.DOTALL
    )
    lines = text.split("\n")
    if match is None:
        return Problem(Where(file), "text that is not TOML", f"well-formed TOML ({shown(message)})")
    line = int(match[2]) if match[2] else len(lines)
    stands = lines[line - 1].strip() if line <= len(lines) else ""
    place = f"line {line}, column {match[3]}" if match[3] else f"line {line}"
    return Problem(Where(file, place), shown(stands) or "the end of the file", _syntax(match[1]))


def _syntax(message: str) -> str:
    if message.startswith(("Cannot overwrite", "Cannot declare", "Cannot mutate", "Duplicate")):
        return "each name once"
    if message.startswith(("Invalid value", "Expected newline or end of document after")):
        return 'a text in quotation marks, such as "45 %", or a plain number'
    if message in {"Unclosed array", "Unclosed inline table"}:
        return f"a closing {']' if message.endswith('array') else '}'} before this"
    if message.startswith("Expected '='"):
        return "a name, an equals sign and a value"
    return f"well-formed TOML ({shown(message)})"
