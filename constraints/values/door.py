"""What no file may hold, looked for before it is parsed: endless keys and numbers, unseen signs.

A parser gives each part of a dotted key a table of its own, and a number as many digits as it has:
forty kilobytes of either can take gigabytes and minutes. A control character in a name would reach
the terminal.
"""

import re
from collections.abc import Iterator, Mapping

_DEEPEST = 16
_DIGITS = 400
LARGEST = 10_000_000
"""No file that is kept by hand is larger [bytes]."""
_UNSEEN = (
    "\\x00-\\x08\\x0b\\x0c\\x0e-\\x1f\\x7f-\\x9f"  # controls, tab and line ends aside
    "\\u2028\\u2029"  # ends of lines and paragraphs
    "\\u202a-\\u202e\\u2066-\\u2069"  # marks that turn the direction of what follows
    "\\ud800-\\udfff"
)
_SIGN = re.compile(f"[{_UNSEEN}]")
_KEY_SIGN = re.compile(f"[{_UNSEEN}\t\n\r]")
_QUOTED = re.compile(
    r'''"""(?:[^\\]|\\.)*?"""|\'\'\'.*?\'\'\'|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'|(#[^\n]*)''', re.DOTALL
)
_DOTTED = re.compile(rf"(?<![\w-])(?:[\w-]+[ \t]*\.[ \t]*){{{_DEEPEST}}}")
_ENDLESS = re.compile(rf"[0-9a-fA-F_]{{{_DIGITS + 1}}}")
SEEN = "text without control characters"
"""What would be right in place of a character that cannot be seen."""


def too_large(content: str | bytes) -> tuple[str, str] | None:
    """What was found and what would be right, where a file is larger than any that is kept."""
    if len(content) <= LARGEST:
        return None
    return f"{len(content):,} bytes", f"a file of at most {LARGEST:,} bytes"


def unseen_in(text: str) -> tuple[int, str] | None:
    """The line of the first control character in a text, and the character as it is told."""
    match = _SIGN.search(text)
    if match is None:
        return None
    return text.count("\n", 0, match.start()) + 1, told(match[0])


def told(sign: str) -> str:
    """A character that cannot be seen, in words."""
    return f"a control character \\u{ord(sign):04x}"


def seen(text: str) -> str:
    """A text with a mark in place of each character that cannot be seen.

    >>> seen("a" + chr(27) + "[31m") == "a" + chr(0xFFFD) + "[31m"
    True
    """
    return _SIGN.sub("\ufffd", text)


def endless_in(text: str) -> tuple[int, str, str] | None:
    """The line of a key or a number without end in a TOML text, what was found, what is right."""
    bare = _QUOTED.sub(_blanked, text)
    ways = (
        (_DOTTED, f"a key of more than {_DEEPEST} parts", f"keys of at most {_DEEPEST} parts"),
        (_ENDLESS, f"more than {_DIGITS} digits", f"a number of at most {_DIGITS} digits"),
    )
    for pattern, found, expected in ways:
        match = pattern.search(bare)
        if match is not None:
            return bare.count("\n", 0, match.start()) + 1, found, expected
    return None


def _blanked(quoted: re.Match[str]) -> str:
    """A text in quotation marks as one letter, a remark as nothing; lines stay where they are."""
    return "\n" * quoted[0].count("\n") + ("" if quoted[1] is not None else "s")


def unseen_below(
    values: Mapping[str, object], path: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], str]]:
    """Where a parsed TOML table holds a control character that was written as an escape."""
    for key, value in values.items():
        match = _KEY_SIGN.search(key)
        if match is not None:
            yield (*path, key), told(match[0])
        yield from _unseen_value(value, (*path, key))


def _unseen_value(value: object, path: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], str]]:
    if isinstance(value, str):
        match = _SIGN.search(value)
        if match is not None:
            yield path, told(match[0])
    elif isinstance(value, dict):
        yield from unseen_below(value, path)
    elif isinstance(value, list):
        for one in value:
            yield from _unseen_value(one, path)
