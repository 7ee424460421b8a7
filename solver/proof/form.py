"""How programs, proofs and numbers stand in a certificate, and how they are read back.

The numbers of a program are written as the decimals they count as, rationals as hex ``p/q``, so
that nothing is rounded. What is read is looked at before it is reckoned with: a number longer than
any honest proof has is refused at the door.
"""

import hashlib
import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from math import isnan
from typing import Any, TypeAlias, TypeVar

from ...constraints.model.row import Row
from ...constraints.values.told import Told
from ..program.outcome import Program
from .duality import Ending, Leaf, Split

Value: TypeAlias = Any
Json: TypeAlias = dict[str, Value]
"""A part of a certificate, whose shape is looked at as it is read."""

T = TypeVar("T")

LONGEST = 100_000
"""Characters of a rational at most."""


@dataclass(frozen=True, slots=True, repr=False)
class Rejected(Told):
    """The certificate proves nothing; ``reason`` names the first part that does not hold."""

    reason: str


class RejectionError(ValueError):
    """What in a certificate does not hold."""


def program_json(program: Program) -> Json:
    """A program as JSON, its numbers the decimals they count as."""
    return {
        "costs": [repr(float(v)) for v in program.costs],
        "lower": [repr(float(v)) for v in program.lower],
        "upper": [repr(float(v)) for v in program.upper],
        "whole": list(program.whole),
        "rows": [row_json(row) for row in program.rows],
    }


def row_json(row: Row) -> Json:
    """A row as JSON."""
    return {
        "rule": row.rule,
        "part": row.part,
        "columns": list(row.columns),
        "values": [repr(float(v)) for v in row.values],
        "low": repr(float(row.low)),
        "high": repr(float(row.high)),
    }


def node_json(node: Leaf | Split) -> Json:
    """A part of a tree of choices as JSON."""
    if isinstance(node, Leaf):
        return {"ending": node.ending.value, "y": [rational(v) for v in node.y]}
    return {"column": node.column, "at": node.at, "below": node.below, "above": node.above}


def rational(value: Fraction) -> str:
    """A rational in lowest terms, in hex: its length has no limit and reading it no doubt.

    >>> rational(Fraction(-31, 4))
    '-0x1f/0x4'
    """
    below = f"/{value.denominator:#x}" if value.denominator != 1 else ""
    return f"{value.numerator:#x}{below}"


def digest(part: object) -> str:
    """A digest of a part of a document."""
    text = json.dumps(part, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def same_question(asked: Program, program: Program) -> None:
    """Nothing, if two programs are one.

    Raises:
        RejectionError: naming the first part in which they differ.
    """
    for part in ("costs", "lower", "upper", "whole"):
        if getattr(asked, part) != getattr(program, part):
            raise RejectionError(f"{part}: another program's")
    if len(asked.rows) != len(program.rows):
        raise RejectionError("rows: another program's")
    for i, (row, other) in enumerate(zip(asked.rows, program.rows, strict=True)):
        if row != other:
            raise RejectionError(f"row {i}, of rule {other.rule!r}, is another program's")


def keyed(value: object, *keys: str) -> Json:
    """A table with just these keys.

    Raises:
        RejectionError: when it is none, as do all that read here.
    """
    if not isinstance(value, dict) or set(value) != set(keys):
        raise RejectionError(f"a table with {', '.join(keys)} expected")
    return value


def listed(value: object, place: str) -> list[Any]:
    """A list."""
    if not isinstance(value, list):
        raise RejectionError(f"{place}: a list expected")
    return value


def each(read: Callable[[object], T], values: object, place: str) -> tuple[T, ...]:
    """A list, each of its entries read."""
    return tuple(read(value) for value in listed(values, place))


def program_of(value: object) -> Program:
    """A program as `program_json` wrote it."""
    asked = keyed(value, "costs", "lower", "upper", "whole", "rows")
    return Program(
        costs=each(decimal_of, asked["costs"], "costs"),
        lower=each(decimal_of, asked["lower"], "lower"),
        upper=each(decimal_of, asked["upper"], "upper"),
        whole=each(_flag, asked["whole"], "whole"),
        rows=each(row_of, asked["rows"], "rows"),
    )


def row_of(value: object) -> Row:
    """A row as `row_json` wrote it."""
    row = keyed(value, "rule", "part", "columns", "values", "low", "high")
    return Row(
        rule=_text(row["rule"]),
        part=_text(row["part"]),
        columns=each(integer_of, row["columns"], "columns"),
        values=each(decimal_of, row["values"], "values"),
        low=decimal_of(row["low"]),
        high=decimal_of(row["high"]),
    )


def node_of(value: object) -> Leaf | Split:
    """A part of a tree as `node_json` wrote it."""
    if isinstance(value, dict) and "ending" in value:
        leaf = keyed(value, "ending", "y")
        y = each(rational_of, leaf["y"], "y")
        if leaf["ending"] not in [ending.value for ending in Ending]:
            raise RejectionError("tree: an unknown ending")
        return Leaf(Ending(leaf["ending"]), y)
    split = keyed(value, "column", "at", "below", "above")
    return Split(*(integer_of(split[key]) for key in ("column", "at", "below", "above")))


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise RejectionError("a text expected")
    return value


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise RejectionError("true or false expected")
    return value


def integer_of(value: object) -> int:
    """A whole number."""
    if not isinstance(value, int) or isinstance(value, bool):
        raise RejectionError("a whole number expected")
    return value


RATIONAL = re.compile(r"(-?0x[0-9a-f]+)(?:/(0x[0-9a-f]+))?")


def decimal_of(value: object, place: str = "") -> float:
    """A number of the program; written any other way than it prints, it could be read as two."""
    expected = f"{place}: a decimal expected" if place else "a decimal expected"
    if not isinstance(value, str):
        raise RejectionError(expected)
    try:
        number = float(value)
    except ValueError as fault:
        raise RejectionError(expected) from fault
    if repr(number) != value or isnan(number):
        raise RejectionError(f"{expected}, in its shortest form")
    return number


def rational_of(value: object) -> Fraction:
    """A rational as `rational` wrote it."""
    if isinstance(value, str) and len(value) > LONGEST:
        raise RejectionError("a number longer than any that a proof has")
    found = RATIONAL.fullmatch(value) if isinstance(value, str) else None
    below = int(found[2] or "0x1", 16) if found else 0
    if not found or not below:
        raise RejectionError("a rational in hex expected")
    return Fraction(int(found[1], 16), below)
