"""What the library gives, as plain rows: for a data frame, a table or a spreadsheet."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum

Plain = str | float | int | bool | None
Row = dict[str, Plain]


def to_rows(many: object) -> list[Row]:
    """Plain rows that any data frame takes, as ``pandas.DataFrame(to_rows(finding.prices))``.

    Args:
        many: a list of results, each of which becomes a row; a table by name, whose entries become
            rows with a ``name``; a composition, by material; or one result, which becomes one row.
            What a result holds within another has a dotted name, as ``rule.id``; what holds many
            things is counted.

    Returns:
        A row for each, all with plain text and numbers, in the units of the results.

    Raises:
        TypeError: for what is neither a result nor holds any.

    >>> to_rows({"kaolin, white": 0.2})
    [{'name': 'kaolin, white', 'value': 0.2}]
    """
    parts = getattr(many, "parts", None)
    if isinstance(parts, Mapping) and is_dataclass(many):
        return [{"material": str(name), "share": share} for name, share in parts.items()]
    if isinstance(many, Mapping):
        return [{"name": str(name), **_row(value)} for name, value in many.items()]
    if is_dataclass(many):
        return [_row(many)]
    if isinstance(many, Iterable) and not isinstance(many, str | bytes):
        return [_row(one) for one in many]
    message = f"expected a result or a list of them, not a {type(many).__name__}"
    raise TypeError(message)


def _row(value: object) -> Row:
    if is_dataclass(value) and not isinstance(value, type):
        return dict(_flat("", value))
    if isinstance(value, tuple):
        return {str(place): plain for place, one in enumerate(value) for _, plain in _flat("", one)}
    return {"value": _plain(value)}


def _flat(before: str, value: object) -> Iterable[tuple[str, Plain]]:
    """The plain things within a value, each by its dotted name."""
    if is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            if field.repr and not field.name.startswith("_"):
                yield from _flat(f"{before}{field.name}.", getattr(value, field.name))
    else:
        yield before.rstrip("."), _plain(value)


def _plain(value: object) -> Plain:
    if isinstance(value, Enum):
        return str(value.value)
    if value is None or isinstance(value, str | bool | int | float):
        return value
    if isinstance(value, tuple) and value and all(isinstance(one, str) for one in value):
        return ", ".join(value)
    if isinstance(value, Collection):
        return len(value)
    return str(value)
