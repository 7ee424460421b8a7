"""One irreducible infeasible set, where a search by slack finds none.

Rules that miss each other by less than a solver can see are no clash to it. The exact proof knows
which rules it leans on; of these each is left out in turn, for good where the rest still clash.
"""

from ...constraints.model.row import WHOLE
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Infeasible, Program
from ..program.session import solve
from ..proof.duality import Leaf
from ..proof.proof import prove_infeasible
from ..proof.proved import ProvedInfeasible
from .conflict import Clash, only


def irreducible(
    program: Program, keep: frozenset[str] = frozenset({WHOLE}), deadline: Deadline = NEVER
) -> tuple[Clash, bool]:
    """A set of rules that cannot hold together, and whether none of them could be left out.

    Args:
        program: without an answer.
        keep: rules always present.
        deadline: when to take the set as it is by then.
    """
    proof = prove_infeasible(program, deadline=deadline)
    rules = _leant_on(program, proof) if isinstance(proof, ProvedInfeasible) else None
    core = [rule for rule in _rules(program, keep) if rules is None or rule in rules]
    sure = True
    for rule in list(core):
        sure = sure and not deadline.passed()
        fewer = [other for other in core if other != rule]
        if sure and _clash(only(program, keep | set(fewer)), deadline, exactly=rules is not None):
            core = fewer
    left = prove_infeasible(only(program, keep | set(core)), deadline=deadline)
    known = left if isinstance(left, ProvedInfeasible) else None
    violation = float(known.breach) if known is not None else 0.0
    return Clash(tuple(core), violation, known), sure


def _rules(program: Program, keep: frozenset[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row.rule for row in program.rows if row.rule not in keep))


def _leant_on(program: Program, proof: ProvedInfeasible) -> frozenset[str]:
    """The rules whose rows have a multiplier in some Farkas certificate of the proof."""
    return frozenset(
        row.rule
        for leaf in proof.tree
        if isinstance(leaf, Leaf)
        for row, y in zip(program.rows, leaf.y, strict=False)
        if y
    )


def _clash(program: Program, deadline: Deadline, *, exactly: bool) -> bool:
    if exactly:
        return isinstance(prove_infeasible(program, deadline=deadline), ProvedInfeasible)
    return isinstance(solve(program, deadline), Infeasible)
