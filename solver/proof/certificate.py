"""A proof written down so that a stranger can check it, and the check.

A certificate is plain JSON: the question (every number of the program), the answer, and the tree
of multipliers that shows no answer is better, or that there is none. The numbers of the
program are written as the decimals they count as, rationals as hex ``p/q``, so that nothing is
rounded and no number is too long.
Every part carries a digest: a part that was changed is named. Digests only tell accidents and
clumsy hands; that the answer is right is shown by arithmetic, and that the question is the one
asked by comparing it with a program given.
"""

from dataclasses import dataclass
from fractions import Fraction

from ...constraints.values.told import Told
from ..program.outcome import Program
from .checking import check_refusal, shown_by
from .duality import Grid, Tree, broken, cost_of
from .form import (
    Json,
    Rejected,
    RejectionError,
    digest,
    keyed,
    listed,
    node_json,
    node_of,
    program_json,
    program_of,
    rational,
    rational_of,
    same_question,
)
from .proved import ProvedGap, ProvedInfeasible, ProvedOptimal

SCHEMA = 1


@dataclass(frozen=True, slots=True, repr=False)
class Verified(Told):
    """The certificate proves what it says.

    Args:
        kind: "optimal", "gap" or "infeasible".
        cost: of the point, ``None`` where there is none.
        bound: what every point costs at least, ``None`` where there is none.
        rows: how many rows there are.
    """

    kind: str
    cost: Fraction | None
    bound: Fraction | None
    rows: int


def certificate(program: Program, proof: ProvedOptimal | ProvedGap | ProvedInfeasible) -> Json:
    """The proof of an answer to a program, as a JSON value.

    Args:
        program: the program the proof is about.
        proof: what was proved of it.
    """
    body = {
        "schema": SCHEMA,
        "kind": _kind(proof),
        "program": program_json(program),
        "answer": _answer_json(proof),
        "tree": [node_json(node) for node in proof.tree],
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
    except RejectionError as fault:
        return Rejected(str(fault))


def point_of(written: Json) -> tuple[Fraction, ...]:
    """The point in a certificate that was verified; empty where it shows that there is none."""
    return tuple(rational_of(value) for value in written["answer"].get("x", ()))


def _verified(written: object, program: Program | None) -> Verified:
    body = keyed(written, "schema", "kind", "program", "answer", "tree", "digests")
    if body["schema"] != SCHEMA or isinstance(body["schema"], bool):
        raise RejectionError(f"schema: {SCHEMA} expected")
    asked = program_of(body["program"])
    tree = tuple(node_of(node) for node in listed(body["tree"], "tree"))
    _same_digests(body)
    if program is not None:
        same_question(asked, program)
    return _checked(body, asked, tree)


def _kind(proof: ProvedOptimal | ProvedGap | ProvedInfeasible) -> str:
    if isinstance(proof, ProvedInfeasible):
        return "infeasible"
    return "optimal" if isinstance(proof, ProvedOptimal) else "gap"


def _answer_json(proof: ProvedOptimal | ProvedGap | ProvedInfeasible) -> Json:
    if isinstance(proof, ProvedInfeasible):
        return {"breach": rational(proof.breach)}
    bound = proof.bound if isinstance(proof, ProvedGap) else proof.cost
    return {
        "x": [rational(v) for v in proof.x],
        "cost": rational(proof.cost),
        "bound": rational(bound),
    }


def _digests(body: Json) -> Json:
    asked = body["program"]
    parts = {
        "costs": digest(asked["costs"]),
        "bounds": digest([asked["lower"], asked["upper"], asked["whole"]]),
        "rows": [digest(row) for row in asked["rows"]],
        "answer": digest([body["schema"], body["kind"], body["answer"]]),
        "tree": digest(body["tree"]),
    }
    return {**parts, "whole": digest(parts)}


def _same_digests(body: Json) -> None:
    true = _digests(body)
    said = keyed(body["digests"], *true)
    rows = listed(said["rows"], "digests of rows")
    if len(rows) != len(true["rows"]):
        raise RejectionError("rows: as many digests as rows expected")
    for i, (one, other) in enumerate(zip(rows, true["rows"], strict=True)):
        if one != other:
            raise RejectionError(f"row {i} is not the one that was written")
    for part in ("costs", "bounds", "answer", "tree", "whole"):
        if said[part] != true[part]:
            raise RejectionError(f"{part}: not what was written")


def _checked(body: Json, asked: Program, tree: Tree) -> Verified:
    shown = shown_by(asked, tree)
    if body["kind"] == "infeasible":
        check_refusal(body["answer"], (shown,))
        return Verified("infeasible", None, None, len(shown.grid.rows))
    if body["kind"] not in ("optimal", "gap"):
        raise RejectionError("kind: optimal, gap or infeasible expected")
    return _checked_point(body, shown.grid, shown.bound)


def _checked_point(body: Json, grid: Grid, bound: Fraction | None) -> Verified:
    answer = keyed(body["answer"], "x", "cost", "bound")
    x = tuple(rational_of(v) for v in listed(answer["x"], "x"))
    cost, said = rational_of(answer["cost"]), rational_of(answer["bound"])
    if len(x) != len(grid.costs):
        raise RejectionError("x: one number for each column expected")
    fault = broken(grid, x)
    if fault:
        raise RejectionError(f"x breaks {fault}")
    if cost != cost_of(grid, x):
        raise RejectionError("cost: not that of x")
    if bound is None or said != bound:
        raise RejectionError("bound: not what the multipliers show")
    if (body["kind"] == "optimal") != (bound == cost):
        raise RejectionError(f"kind: cost and bound do not make it {body['kind']}")
    return Verified(body["kind"], cost, bound, len(grid.rows))
