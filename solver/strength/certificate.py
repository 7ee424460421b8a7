"""A proof over cells written down so that a stranger can check it, and the check.

Like a certificate of one program (``proof.certificate``), with the question in two parts: what is
the same in every cell, and for each cell its bounds, its rows on pH and salt, and its multipliers.
Nothing that the document says of pH and ionic strength is believed. The cells must leave nothing
out of what they claim to cover; and with a bench at hand every cell's rows are worked out anew from
it, the cells must cover all that the model is trusted for, and the composition is judged.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from math import isfinite

from ...constraints.acidity.cell import Cell, widest
from ...constraints.model.brief import Bench
from ...constraints.model.row import Row
from ...constraints.rules.outer import acidity_rules, outer_rows, trusted
from ...constraints.values.told import Told
from ..program.outcome import Program
from ..proof.checking import check_refusal, shown_by
from ..proof.duality import Leaf, Split, Tree, cost_of, on_grid
from ..proof.form import (
    Json,
    Rejected,
    RejectionError,
    decimal_of,
    digest,
    each,
    keyed,
    listed,
    node_json,
    node_of,
    program_json,
    program_of,
    rational,
    rational_of,
    row_json,
    row_of,
)
from .covering import covered_by
from .parts import Written
from .proof import ProvedCell, ProvedNowhere, ProvedWithin
from .search import least_needed
from .shown import check_judged, check_kept

SCHEMA = 2


@dataclass(frozen=True, slots=True, repr=False)
class VerifiedWithin(Told):
    """The certificate proves what it says.

    Args:
        kind: "optimal", "gap" or "infeasible".
        cost: of the point, ``None`` where there is none.
        bound: what every composition in the cells costs at least, ``None`` where there is none.
        cells: how many there are.
        covered: what they cover together.
        rows: how many rows each has.
    """

    kind: str
    cost: Fraction | None
    bound: Fraction | None
    cells: int
    covered: Cell
    rows: int


@dataclass(frozen=True, slots=True, repr=False)
class Asked(Told):
    """What a certificate should be about.

    Args:
        bench: whose rules and shelf.
        written: turns its rows into the program.
    """

    bench: Bench
    written: Written


def certificate_within(bench: Bench, proof: ProvedWithin | ProvedNowhere) -> Json:
    """The proof over cells as a JSON value.

    Args:
        bench: what it is about.
        proof: what was proved.
    """
    first = proof.cells[0].program
    everywhere = set(first.rows).intersection(*(cell.program.rows for cell in proof.cells))
    common = tuple(row for row in first.rows if row in everywhere)
    body = {
        "schema": SCHEMA,
        "kind": _kind(proof),
        "acidity": [rule.id for rule in acidity_rules(bench)],
        "program": program_json(replace(first, rows=common)),
        "cells": [_cell_json(cell, everywhere, common) for cell in proof.cells],
        "answer": _answer_json(proof),
    }
    return {**body, "digests": _digests(body)}


def _kind(proof: ProvedWithin | ProvedNowhere) -> str:
    if isinstance(proof, ProvedNowhere):
        return "infeasible"
    return "optimal" if proof.is_close else "gap"


def _cell_json(cell: ProvedCell, everywhere: set[Row], common: tuple[Row, ...]) -> Json:
    places = {row: place for place, row in enumerate(cell.program.rows)}
    own = [row for row in cell.program.rows if row not in everywhere]
    order = [places[row] for row in (*common, *own)]
    return {
        "ph": list(map(repr, cell.cell.ph)),
        "salt": list(map(repr, cell.cell.salt)),
        "rows": [row_json(row) for row in own],
        "tree": [node_json(_reordered(node, order)) for node in cell.tree],
    }


def _reordered(node: Leaf | Split, order: list[int]) -> Leaf | Split:
    if not isinstance(node, Leaf) or not node.y:
        return node
    return replace(node, y=tuple(node.y[place] for place in order))


def _answer_json(proof: ProvedWithin | ProvedNowhere) -> Json:
    if isinstance(proof, ProvedNowhere):
        return {"breach": rational(proof.breach)}
    return {
        "x": [repr(value) for value in proof.x],
        "cost": rational(proof.cost),
        "bound": rational(proof.bound),
    }


def _digests(body: Json) -> Json:
    parts = {key: digest(value) for key, value in body.items() if key != "digests"}
    return {**parts, "whole": digest(parts)}


def verify_within(written: object, asked: Asked | None = None) -> VerifiedWithin | Rejected:
    """Check a certificate over cells, solving nothing.

    Args:
        written: as read from JSON.
        asked: the bench it should be about. Without one, that the rows are right for their cells,
            and that the point has a pH that keeps the rules, is left open.
    """
    try:
        return _verified(written, asked)
    except RejectionError as fault:
        return Rejected(str(fault))


def shares_of(written: Json) -> tuple[Fraction, ...]:
    """The point in a certificate that was verified; empty where it shows that there is none."""
    return tuple(Fraction(value) for value in written["answer"].get("x", ()))


def _verified(written: object, asked: Asked | None) -> VerifiedWithin:
    keys = ("schema", "kind", "acidity", "program", "cells", "answer", "digests")
    body = keyed(written, *keys)
    if body["schema"] != SCHEMA or isinstance(body["schema"], bool):
        raise RejectionError(f"schema: {SCHEMA} expected")
    common = program_of(body["program"])
    acidity = frozenset(_names(body["acidity"]))
    cells = [_cell_of(one, common) for one in listed(body["cells"], "cells")]
    if not cells:
        raise RejectionError("cells: at least one expected")
    _same_digests(body)
    covered = covered_by(tuple(cell.cell for cell in cells))
    if asked is not None:
        _same_bench(asked, cells, covered, acidity)
    shown = [shown_by(cell.program, cell.tree) for cell in cells]
    size = len(cells[0].program.rows)
    if body["kind"] == "infeasible":
        check_refusal(body["answer"], shown)
        return VerifiedWithin("infeasible", None, None, len(cells), covered, size)
    bounds = [one.bound for one in shown if one.bound is not None]
    cost, bound = _check_point(body, cells, acidity, bounds, asked)
    return VerifiedWithin(body["kind"], cost, bound, len(cells), covered, size)


def _names(value: object) -> Iterator[str]:
    for name in listed(value, "acidity"):
        if not isinstance(name, str):
            raise RejectionError("acidity: names of rules expected")
        yield name


@dataclass(frozen=True, slots=True)
class _Read:
    """A cell as it was read."""

    cell: Cell
    program: Program
    tree: Tree


def _cell_of(value: object, common: Program) -> _Read:
    said = keyed(value, "ph", "salt", "rows", "tree")
    cell = Cell(_pair(said["ph"], "ph"), _pair(said["salt"], "salt"))
    own = each(row_of, said["rows"], "rows")
    program = replace(common, rows=(*common.rows, *own))
    return _Read(cell, program, each(node_of, said["tree"], "tree"))


def _pair(value: object, place: str) -> tuple[float, float]:
    ends = listed(value, place)
    if len(ends) != 2 or not all(isinstance(end, str) for end in ends):
        raise RejectionError(f"{place}: two ends expected")
    try:
        low, high = map(float, ends)
    except ValueError as fault:
        raise RejectionError(f"{place}: two numbers expected") from fault
    if not (isfinite(low) and isfinite(high) and low <= high):
        raise RejectionError(f"{place}: from the lower to the higher expected")
    if place == "salt" and low < 0.0:
        raise RejectionError("salt: an ionic strength is not below 0")
    return low, high


def _same_digests(body: Json) -> None:
    true = _digests(body)
    said = keyed(body["digests"], *true)
    for part, value in true.items():
        if said[part] != value:
            raise RejectionError(f"{part}: not what was written")


def _same_bench(asked: Asked, cells: list[_Read], covered: Cell, acidity: frozenset[str]) -> None:
    """Each cell's rows worked out anew, and all of the model's range among the cells."""
    bench = asked.bench
    if acidity != {rule.id for rule in acidity_rules(bench)}:
        raise RejectionError("acidity: other rules on pH than the bench's")
    if covered not in (trusted(bench), widest()):
        raise RejectionError("cells: not all that the model is trusted for")
    for number, one in enumerate(cells):
        program = asked.written(outer_rows(bench, one.cell))
        for part in ("costs", "lower", "upper", "whole"):
            if getattr(one.program, part) != getattr(program, part):
                raise RejectionError(f"{part}: another bench's")
        other = Counter(program.rows)
        other.subtract(one.program.rows)
        for row, count in other.items():
            if count:
                raise RejectionError(
                    f"cell {number}: a row of rule {row.rule!r} is another bench's"
                )


def _check_point(
    body: Json,
    cells: list[_Read],
    acidity: frozenset[str],
    bounds: list[Fraction],
    asked: Asked | None,
) -> tuple[Fraction, Fraction]:
    answer, common = keyed(body["answer"], "x", "cost", "bound"), cells[0].program
    x = tuple(_share(value) for value in listed(answer["x"], "x"))
    cost, said = rational_of(answer["cost"]), rational_of(answer["bound"])
    if len(x) != len(common.costs):
        raise RejectionError("x: one number for each column expected")
    if cost != cost_of(on_grid(common), x):
        raise RejectionError("cost: not that of x")
    if not bounds or said != min(bounds):
        raise RejectionError("bound: not what the multipliers show")
    check_kept([one.program for one in cells], acidity, x)
    if asked is not None:
        check_judged(asked.bench, x)
    kind = "optimal" if float(said) >= least_needed(float(cost)) else "gap"
    if body["kind"] != kind or least_needed(float(said)) > float(cost):
        raise RejectionError(f"kind: cost and bound do not make it {body['kind']!r}")
    return cost, said


def _share(value: object) -> Fraction:
    if not isfinite(decimal_of(value, "x")):
        raise RejectionError("x: a decimal expected, in its shortest form")
    return Fraction(str(value))
