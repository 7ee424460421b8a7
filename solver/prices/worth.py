"""What a finding is worth: its proof, and the exact prices on both sides of each limit.

Where pH is ruled, the proof covers every ionic strength that the model of acidity is trusted for.
Prices are exact for the program as the solver was given it: at the ionic strength of the answer,
and with the choice of materials that was made.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Limited, Rule
from ...constraints.rules.holding import place_held
from ...constraints.values.told import Told
from ..cheapest.cheapest import (
    Explanation,
    Finding,
    as_it_is,
    found,
    written_for,
)
from ..cheapest.stepping import WORTH_SAYING, Price
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Optimal
from ..proof.proof import prove
from ..proof.proved import Proof, ProvedOptimal
from ..sensitivity.columns import tied
from ..sensitivity.limits import LimitPrice, Side, Step, price_of_limit, sides_of
from ..strength.proof import ProvedWithin, prove_within

SAME = 1e-9
"""Two prices that differ by no more than this part of themselves are the same."""


@dataclass(frozen=True, slots=True)
class Slope:
    """What each unit of a limit costs just where it stands, each way, and how far that holds.

    Args:
        rule: id of the rule.
        side: which limit, "low" or "high".
        tighter: cost added for each unit of tightening [money/kg per unit of the limit]; ``None``
            where nothing keeps the rules that way.
        looser: cost saved for each unit of loosening, the same.
        tightest: the limit up to which ``tighter`` holds; ``None`` without end.
        loosest: the limit up to which ``looser`` holds; ``None`` without end.
        ends: whether nothing keeps the rules past ``tightest``.
    """

    rule: str
    side: str
    tighter: float | None
    looser: float | None
    tightest: float | None
    loosest: float | None
    ends: bool

    @property
    def parts(self) -> bool:
        """Whether other rules take over just here: the two sides differ."""
        if self.tighter is None or self.looser is None:
            return True
        return abs(self.tighter - self.looser) > SAME * max(1.0, abs(self.tighter))


@dataclass(frozen=True, slots=True, repr=False)
class Worth(Told):
    """How sure a finding is, and what its limits and prices are worth.

    Args:
        proof: of the whole program, choices included.
        slopes: (rule, side) -> its exact prices, for the binding limits that are plain figures of a
            row; a ratio and a pH move coefficients, and have none.
        tied: materials whose share could change at the same cost.
        undone: what there was no time for.
    """

    proof: Proof | ProvedWithin
    slopes: Mapping[tuple[str, str], Slope]
    tied: tuple[str, ...]
    undone: frozenset[Explanation] = frozenset()

    @property
    def proved(self) -> bool:
        """Whether the composition shown is proved to be the cheapest."""
        return is_proved(self.proof)


def is_proved(proof: Proof | ProvedWithin) -> bool:
    """Whether a proof says that the point shown costs hardly more than the least there is."""
    if isinstance(proof, ProvedWithin):
        return proof.is_close
    return isinstance(proof, ProvedOptimal) and abs(proof.excess) <= WORTH_SAYING


def proved(
    bench: Bench, finding: Finding, deadline: Deadline = NEVER
) -> tuple[Finding, Proof | ProvedWithin]:
    """Prove a finding; where the exact optimum costs something else than what is shown, take it.

    It is cheaper where the solver stopped early, and dearer where the solver missed a limit by a
    hair that a dear material makes worth something.

    Returns:
        The finding to show, and the proof of it.
    """
    if finding.parts:
        written = written_for(bench, as_it_is)
        return finding, prove_within(bench, written, finding.parts, finding.fixed[1], deadline)
    proof = prove(finding.program, finding.fixed[1], deadline=deadline)
    if not isinstance(proof, ProvedOptimal) or is_proved(proof):
        return finding, proof
    exact = Optimal(float(proof.cost), tuple(map(float, proof.x)), (), (), proof.basis)
    better = found(bench, finding.rows, finding.program, exact, exact=exact, deadline=deadline)
    proof = prove(better.program, better.fixed[1], deadline=deadline)
    return (better, proof) if is_proved(proof) else (finding, proof)


def worth(finding: Finding, proof: Proof | ProvedWithin, deadline: Deadline = NEVER) -> Worth:
    """The exact prices around a finding, as far as there is time."""
    slopes = tuple(_slopes(finding, deadline))
    known = {(slope.rule, slope.side): slope for slope in slopes if slope is not None}
    late = frozenset({Explanation.SLOPES}) if None in slopes else frozenset()
    if finding.ground is None or deadline.passed():
        return Worth(proof, known, (), late)
    materials = finding.rows.materials
    columns = tied(finding.ground, finding.fixed[0], range(len(materials)))
    return Worth(proof, known, tuple(materials[column] for column in columns), late)


def _slopes(finding: Finding, deadline: Deadline) -> Iterator[Slope | None]:
    """The slope of each limit with a price, dearest first; ``None`` and no more past the time."""
    if finding.ground is None:
        return
    rules = {one.rule.id: one.rule for one in finding.verdicts if isinstance(one.rule, Limited)}
    wanted = {"low": Side.LOW, "high": Side.HIGH}
    for price in finding.prices:
        place = row_of(finding, rules[price.rule], price.side)
        if place is None:
            continue
        if deadline.passed():
            yield None
            return
        side = wanted[price.side]
        if side in sides_of(finding.fixed[0].rows[place]):
            limit = price_of_limit(finding.ground, place, side)
            yield _slope(rules[price.rule], price, limit)


def row_of(finding: Finding, rule: Rule, side: str) -> int | None:
    """The row whose side is a rule's limit, where the limit is a plain figure; else ``None``."""
    if not isinstance(rule, Limited) or side not in rule.limits():
        return None
    place = place_held(rule, side)
    return None if place is None else finding.rows.of(rule.id)[place][0]


def _slope(rule: Limited, price: Price, limit: LimitPrice) -> Slope:
    standing = rule.standing(price.side)
    low = price.side == "low"
    inward, outward = (limit.up, limit.down) if low else (limit.down, limit.up)
    sign = 1.0 if low else -1.0
    return Slope(
        rule=price.rule,
        side=price.side,
        tighter=_rate(inward, sign),
        looser=_rate(outward, sign),
        tightest=_end(inward, standing, sign),
        loosest=_end(outward, standing, -sign),
        ends=inward.last,
    )


def _rate(step: Step, sign: float) -> float | None:
    return None if step.price is None else sign * float(step.price) + 0.0


def _end(step: Step, standing: float, sign: float) -> float | None:
    return None if step.reach is None else standing + sign * float(step.reach)
