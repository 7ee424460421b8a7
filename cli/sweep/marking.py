"""What tells one question over scenarios from another."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...solver.scenarios.sweep import Sweep


def mark_of(sweep: "Sweep") -> str:
    """A few letters that are others as soon as the question, a rule or the shelf is another."""
    shelf = ((item.price, item.material) for item in sweep.bench.shelf)
    told = _told((sweep.question, sweep.bench.brief.rules, sweep.held, tuple(shelf)))
    return hashlib.sha256(repr(told).encode()).hexdigest()[:12]


def _told(one: object) -> object:
    """The same as plain values, whose text depends on nothing but what they are."""
    if is_dataclass(one) and not isinstance(one, type):
        compared = (each.name for each in fields(one) if each.compare)
        return type(one).__name__, tuple(_told(getattr(one, name)) for name in compared)
    if isinstance(one, str | int | float) or one is None:
        return one
    if isinstance(one, Mapping):
        return tuple((_told(key), _told(value)) for key, value in one.items())
    if isinstance(one, frozenset | set):
        return tuple(sorted(repr(_told(each)) for each in one))
    if isinstance(one, Iterable):
        return tuple(_told(each) for each in one)
    return type(one).__name__
