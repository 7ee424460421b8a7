"""JSON Schema of every answer, from one list of keys with their types and meanings.

What ``--format json`` prints keeps it: keys stay, and new ones may join, so that a reader does well
to pass over what it does not know.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from ...constraints.bench.schema import DIALECT
from ...constraints.data import data_of
from ..kit.as_json import SCHEMA

Shape = Mapping[str, "Key"]


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a document.

    Attributes:
        name: the key.
        type: as it is written in the list.
        says: what it means, with its unit in brackets.
        always: whether every document has it.
    """

    name: str
    type: str
    says: str
    always: bool


def answers() -> tuple[str, ...]:
    """The documents there are: a command each, ``problems`` and ``remarks``."""
    return tuple(_listed()["answers"])


def keys_of(answer: str) -> tuple[Key, ...]:
    """What the document of a command holds besides ``schema`` and ``command``, in order."""
    return tuple(_shape("answers", answer).values())


def shapes() -> Mapping[str, tuple[Key, ...]]:
    """What documents are made of, by name."""
    return {name: tuple(_shape("shapes", name).values()) for name in _listed()["shapes"]}


def answer_schema(answer: str, *, closed: bool = False) -> dict[str, object]:
    """The JSON Schema of a document.

    Args:
        answer: the command that prints it, ``problems`` or ``remarks``.
        closed: whether a key that is not listed is a fault; tests ask for that.

    Raises:
        KeyError: when there is no such document.
    """
    needed: dict[str, object] = {}
    body = _table(_shape("answers", answer), needed, closed=closed)
    head = {"schema": {"const": SCHEMA}, "command": {"const": answer}}
    return {
        "$schema": DIALECT,
        "title": f"barwright {answer}, as JSON",
        **body,
        "properties": {**head, **_properties(_shape("answers", answer), needed, closed=closed)},
        "required": [*head, *_required(_shape("answers", answer))],
        "$defs": dict(sorted(needed.items())),
    }


def _listed() -> Mapping[str, Mapping[str, Mapping[str, object]]]:
    return data_of("answers.toml")


def _shape(part: str, name: str) -> dict[str, Key]:
    """The keys of a shape, those it takes in first."""
    found: dict[str, Key] = {}
    written = dict(_listed()[part][name])
    taken = written.pop("+", ())
    for other in taken if isinstance(taken, list) else ():
        found |= _shape("shapes", str(other))
    return found | {key: _key(key, str(said)) for key, said in written.items()}


def _key(name: str, said: str) -> Key:
    kind, _, says = said.partition(": ")
    return Key(name, kind.removeprefix("~"), says, always=not kind.startswith("~"))


def _table(shape: Shape, needed: dict[str, object], *, closed: bool) -> dict[str, object]:
    made: dict[str, object] = {
        "type": "object",
        "properties": _properties(shape, needed, closed=closed),
        "required": list(_required(shape)),
    }
    return {**made, "additionalProperties": False} if closed else made


def _properties(shape: Shape, needed: dict[str, object], *, closed: bool) -> dict[str, object]:
    return {
        key.name: {"description": key.says, **_of_type(key.type, needed, closed=closed)}
        for key in shape.values()
    }


def _required(shape: Shape) -> tuple[str, ...]:
    return tuple(key.name for key in shape.values() if key.always)


_PLAIN: Mapping[str, dict[str, object]] = {
    "text": {"type": "string"},
    "number": {"type": "number"},
    "whole": {"type": "integer"},
    "yes": {"type": "boolean"},
    "any": {},
}
_NESTED = re.compile(r"^([\[{])(.*)[\]}]$")


def _of_type(kind: str, needed: dict[str, object], *, closed: bool) -> dict[str, object]:
    """A type as it is written, as JSON Schema; shapes that it names join ``needed``."""
    if kind.endswith("?"):
        inner = _of_type(kind[:-1], needed, closed=closed)
        return {"anyOf": [inner, {"type": "null"}]}
    nested = _NESTED.match(kind)
    if nested:
        inner = _of_type(nested[2], needed, closed=closed)
        if nested[1] == "[":
            return {"type": "array", "items": inner}
        return {"type": "object", "additionalProperties": inner}
    if kind in _PLAIN:
        return dict(_PLAIN[kind])
    if kind not in needed:
        needed[kind] = {}  # named before it is filled, for shapes that hold each other
        needed[kind] = _table(_shape("shapes", kind), needed, closed=closed)
    return {"$ref": f"#/$defs/{kind}"}
