"""How values show themselves: one line where it is printed, a table in a notebook.

Names and figures are shown, what holds many things is counted: no value is longer than a line,
however much it holds.
"""

import html
from collections.abc import Collection, Iterator, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum

MOST = 100
"""Characters of one line."""

ROWS = 60
"""Lines of one table."""


class Told:
    """A dataclass that shows itself in one line, and as a table in a notebook."""

    __slots__ = ()

    def __repr__(self) -> str:
        """Its kind and what it holds, in one line."""
        inside = ", ".join(f"{name}={in_short(value)}" for name, value in _held(self))
        return _cut(f"{type(self).__name__}({inside})")

    def _repr_html_(self) -> str:
        """A table for a notebook, with everything escaped that a maker may have written."""
        return _table(_held(self), type(self).__name__)


def in_short(value: object) -> str:
    """A value in a few words.

    >>> in_short(0.123456), in_short("kaolin"), in_short((1, 2, 3)), in_short({"a": 1})
    ('0.1235', "'kaolin'", '3 entries', '1 entry')
    """
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, str):
        return repr(_cut(value, 40))
    if isinstance(value, bool) or value is None:
        return str(value)
    if isinstance(value, int | float):
        return f"{value:.4g}"
    if isinstance(value, Collection):
        return f"{len(value)} {'entry' if len(value) == 1 else 'entries'}"
    name = getattr(value, "name", None)
    plain = f"{type(value).__name__}"
    return f"{plain} {_cut(name, 30)!r}" if isinstance(name, str) else plain


def _held(told: object) -> Iterator[tuple[str, object]]:
    if is_dataclass(told):
        for field in fields(told):
            if field.repr:
                yield field.name, getattr(told, field.name)


def _table(entries: Iterator[tuple[str, object]], title: str) -> str:
    lines = "".join(
        f"<tr><th style='text-align:left'>{html.escape(name)}</th><td>{_cell(value)}</td></tr>"
        for name, value in entries
    )
    return f"<table><caption>{html.escape(title)}</caption>{lines}</table>"


def _cell(value: object) -> str:
    """A value within a table: what holds few plain things in full, all else in short."""
    if isinstance(value, Mapping) and value and all(_is_plain(one) for one in value.values()):
        inner = [(str(key), one) for key, one in value.items()]
        rows = "".join(
            f"<tr><td>{html.escape(key)}</td><td>{html.escape(_bare(one))}</td></tr>"
            for key, one in inner[:ROWS]
        )
        return f"<table>{rows}</table>{_rest(len(inner))}"
    if isinstance(value, tuple) and value and all(isinstance(one, Told | str) for one in value):
        said = "<br>".join(html.escape(_bare(one)) for one in value[:ROWS])
        return f"{said}{_rest(len(value))}"
    return html.escape(_bare(value))


def _rest(count: int) -> str:
    return f"<br>and {count - ROWS} more" if count > ROWS else ""


def _is_plain(value: object) -> bool:
    return value is None or isinstance(value, str | int | float)


def _bare(value: object) -> str:
    return (
        value
        if isinstance(value, str)
        else str(value)
        if isinstance(value, Told)
        else in_short(value)
    )


def _cut(text: str, most: int = MOST) -> str:
    flat = " ".join(text.split())
    return flat if len(flat) <= most else f"{flat[: most - 1]}…"
