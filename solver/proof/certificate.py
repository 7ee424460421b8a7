"""A proof written down so that a stranger can check it, and the check.

A certificate is plain JSON: the question (every number of the program), the answer, and the tree
of multipliers that shows no answer is better, or that there is none. The numbers of the
program are written as the decimals they count as, rationals as hex ``p/q``, so that nothing is
rounded and no number is too long.
Every part carries a digest: a part that was changed is named. Digests only tell accidents and
clumsy hands; that the answer is right is shown by arithmetic, and that the question is the one
asked by comparing it with a program given.
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
from ..program.outcome import Program
from .duality import (
    Ending,
    Grid,
    Leaf,
    Split,
    Tree,
    breach_of,
    broken,
    cost_of,
    leaves,
    on_grid,
    sound,
    tree_bound,
)
from .proof import ProvedGap, ProvedInfeasible, ProvedOptimal

SCHEMA = 1

Value: TypeAlias = Any
Json: TypeAlias = dict[str, Value]
"""A part of a certificate, whose shape is looked at as it is read."""

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Verified:
    """The certificate proves what it says.

    Args:
        kind: "optimal", "gap" or "infeasible".
        cost: of the point, ``None`` where there is none.
        bound: what every point costs at least, ``None`` where there is none.
    """

    kind: str
    cost: Fraction | None
    bound: Fraction | None


@dataclass(frozen=True, slots=True)
class Rejected:
    """The certificate proves nothing; ``reason`` names the first part that does not hold."""

    reason: str


class _RejectionError(ValueError):
    """What in a certificate does not hold."""


def certificate(program: Program, proof: ProvedOptimal | ProvedGap | ProvedInfeasible) -> Json:
    """The proof of an answer to a program, as a JSON value.

    Args:
        program: the program the proof is about.
        proof: what was proved of it.
    """
    body = {
        "schema": SCHEMA,
        "kind": _kind(proof),
        "program": _program_json(program),
        "answer": _answer_json(proof),
        "tree": [_node_json(node) for node in proof.tree],
    }
    return {**body, "digests": _digests(body)}


def verify(written: object, program: Program | None = None) -> Verified | Rejected:
    """Check a certificate, solving nothing: shape, digests, question, and weak duality.

    Args:
        written: a certificate as read from JSON.
        program: the question it should be about, compared number by number.
    """
    try:
        return _verified(written, program)
    except _RejectionError as fault:
        return Rejected(str(fault))


def point_of(written: Json) -> tuple[Fraction, ...]:
    """The point in a certificate that was verified; empty where it shows that there is none."""
    return tuple(_rational(value) for value in written["answer"].get("x", ()))


def _verified(written: object, program: Program | None) -> Verified:
    body = _keyed(written, "schema", "kind", "program", "answer", "tree", "digests")
    if body["schema"] != SCHEMA or isinstance(body["schema"], bool):
        raise _RejectionError(f"schema: {SCHEMA} expected")
    asked = _program(body["program"])
    tree = tuple(_node(node) for node in _listed(body["tree"], "tree"))
    _same_digests(body)
    if program is not None:
        _same_question(asked, program)
    return _checked(body, asked, tree)


def _kind(proof: ProvedOptimal | ProvedGap | ProvedInfeasible) -> str:
    if isinstance(proof, ProvedInfeasible):
        return "infeasible"
    return "optimal" if isinstance(proof, ProvedOptimal) else "gap"


def _program_json(program: Program) -> Json:
    return {
        "costs": [repr(v) for v in program.costs],
        "lower": [repr(v) for v in program.lower],
        "upper": [repr(v) for v in program.upper],
        "whole": list(program.whole),
        "rows": [
            {
                "rule": row.rule,
                "part": row.part,
                "columns": list(row.columns),
                "values": [repr(v) for v in row.values],
                "low": repr(row.low),
                "high": repr(row.high),
            }
            for row in program.rows
        ],
    }


def _answer_json(proof: ProvedOptimal | ProvedGap | ProvedInfeasible) -> Json:
    if isinstance(proof, ProvedInfeasible):
        return {"breach": rational(proof.breach)}
    bound = proof.bound if isinstance(proof, ProvedGap) else proof.cost
    return {
        "x": [rational(v) for v in proof.x],
        "cost": rational(proof.cost),
        "bound": rational(bound),
    }


def _node_json(node: Leaf | Split) -> Json:
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


def _digests(body: Json) -> Json:
    asked = body["program"]
    parts = {
        "costs": _digest(asked["costs"]),
        "bounds": _digest([asked["lower"], asked["upper"], asked["whole"]]),
        "rows": [_digest(row) for row in asked["rows"]],
        "answer": _digest([body["schema"], body["kind"], body["answer"]]),
        "tree": _digest(body["tree"]),
    }
    return {**parts, "whole": _digest(parts)}


def _digest(part: object) -> str:
    text = json.dumps(part, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def _same_digests(body: Json) -> None:
    true = _digests(body)
    said = _keyed(body["digests"], *true)
    rows = _listed(said["rows"], "digests of rows")
    if len(rows) != len(true["rows"]):
        raise _RejectionError("rows: as many digests as rows expected")
    for i, (one, other) in enumerate(zip(rows, true["rows"], strict=True)):
        if one != other:
            raise _RejectionError(f"row {i} is not the one that was written")
    for part in ("costs", "bounds", "answer", "tree", "whole"):
        if said[part] != true[part]:
            raise _RejectionError(f"{part}: not what was written")


def _same_question(asked: Program, program: Program) -> None:
    """The first part in which two programs differ, as a fault."""
    for part in ("costs", "lower", "upper", "whole"):
        if getattr(asked, part) != getattr(program, part):
            raise _RejectionError(f"{part}: another program's")
    if len(asked.rows) != len(program.rows):
        raise _RejectionError("rows: another program's")
    for i, (row, other) in enumerate(zip(asked.rows, program.rows, strict=True)):
        if row != other:
            raise _RejectionError(f"row {i}, of rule {other.rule!r}, is another program's")


def _checked(body: Json, asked: Program, tree: Tree) -> Verified:
    fault = sound(asked)
    if fault:
        raise _RejectionError(fault)
    grid = on_grid(asked)
    for leaf in (node for node in tree if isinstance(node, Leaf)):
        if len(leaf.y) != (0 if leaf.ending is Ending.CROSSED else len(grid.rows)):
            raise _RejectionError("tree: one multiplier for each row expected")
    try:
        bound = tree_bound(grid, tree)
    except ValueError as slip:
        raise _RejectionError(f"tree: {slip}") from slip
    if body["kind"] == "infeasible":
        return _checked_refusal(body["answer"], grid, tree, bound)
    if body["kind"] not in ("optimal", "gap"):
        raise _RejectionError("kind: optimal, gap or infeasible expected")
    return _checked_point(body, grid, bound)


def _checked_refusal(answer: object, grid: Grid, tree: Tree, bound: Fraction | None) -> Verified:
    said = _rational(_keyed(answer, "breach")["breach"])
    if bound is not None:
        raise _RejectionError("tree: a leaf is not shown to be empty")
    if said != min(breach_of(grid, *part) for part in leaves(grid, tree)):
        raise _RejectionError("breach: not what the multipliers show")
    return Verified("infeasible", None, None)


def _checked_point(body: Json, grid: Grid, bound: Fraction | None) -> Verified:
    answer = _keyed(body["answer"], "x", "cost", "bound")
    x = tuple(_rational(v) for v in _listed(answer["x"], "x"))
    cost, said = _rational(answer["cost"]), _rational(answer["bound"])
    if len(x) != len(grid.costs):
        raise _RejectionError("x: one number for each column expected")
    fault = broken(grid, x)
    if fault:
        raise _RejectionError(f"x breaks {fault}")
    if cost != cost_of(grid, x):
        raise _RejectionError("cost: not that of x")
    if bound is None or said != bound:
        raise _RejectionError("bound: not what the multipliers show")
    if (body["kind"] == "optimal") != (bound == cost):
        raise _RejectionError(f"kind: cost and bound do not make it {body['kind']}")
    return Verified(body["kind"], cost, bound)


def _keyed(value: object, *keys: str) -> Json:
    if not isinstance(value, dict) or set(value) != set(keys):
        raise _RejectionError(f"a table with {', '.join(keys)} expected")
    return value


def _listed(value: object, place: str) -> list[Value]:
    if not isinstance(value, list):
        raise _RejectionError(f"{place}: a list expected")
    return value


def _each(read: Callable[[object], T], values: object, place: str) -> tuple[T, ...]:
    return tuple(read(value) for value in _listed(values, place))


def _program(value: object) -> Program:
    asked = _keyed(value, "costs", "lower", "upper", "whole", "rows")
    return Program(
        costs=_each(_decimal, asked["costs"], "costs"),
        lower=_each(_decimal, asked["lower"], "lower"),
        upper=_each(_decimal, asked["upper"], "upper"),
        whole=_each(_flag, asked["whole"], "whole"),
        rows=_each(_row, asked["rows"], "rows"),
    )


def _row(value: object) -> Row:
    row = _keyed(value, "rule", "part", "columns", "values", "low", "high")
    return Row(
        rule=_text(row["rule"]),
        part=_text(row["part"]),
        columns=_each(_integer, row["columns"], "columns"),
        values=_each(_decimal, row["values"], "values"),
        low=_decimal(row["low"]),
        high=_decimal(row["high"]),
    )


def _node(value: object) -> Leaf | Split:
    if isinstance(value, dict) and "ending" in value:
        leaf = _keyed(value, "ending", "y")
        y = _each(_rational, leaf["y"], "y")
        if leaf["ending"] not in [ending.value for ending in Ending]:
            raise _RejectionError("tree: an unknown ending")
        return Leaf(Ending(leaf["ending"]), y)
    split = _keyed(value, "column", "at", "below", "above")
    return Split(*(_integer(split[key]) for key in ("column", "at", "below", "above")))


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise _RejectionError("a text expected")
    return value


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise _RejectionError("true or false expected")
    return value


def _integer(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise _RejectionError("a whole number expected")
    return value


RATIONAL = re.compile(r"(-?0x[0-9a-f]+)(?:/(0x[0-9a-f]+))?")


def _decimal(value: object) -> float:
    """A number of the program; written any other way than it prints, it could be read as two."""
    if not isinstance(value, str):
        raise _RejectionError("a decimal expected")
    try:
        number = float(value)
    except ValueError as fault:
        raise _RejectionError("a decimal expected") from fault
    if repr(number) != value or isnan(number):
        raise _RejectionError("a decimal expected, in its shortest form")
    return number


def _rational(value: object) -> Fraction:
    found = RATIONAL.fullmatch(value) if isinstance(value, str) else None
    below = int(found[2] or "0x1", 16) if found else 0
    if not found or not below:
        raise _RejectionError("a rational in hex expected")
    return Fraction(int(found[1], 16), below)
