"""The composition nearest to a formula that keeps every rule.

Near is settled in stages, each exact before the next is looked at: what the bar contains by class,
by kind, by substance, then how many materials are touched, then the cost. The least value of a
stage is held as a row, at the optimum and a hair, while the next is minimised. That settles the
yes/no choices and which materials are touched. With these made, the program has no whole numbers
any more, and the distances and the cost are minimised once again, now each on the very set of best
points of the one before, and with what is not touched at its old share to the last digit.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of, picked
from ...constraints.model.row import Rows
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge
from ..cheapest.cheapest import (
    Refusal,
    checked,
    composed,
)
from ..cheapest.settling import settled_anywhere
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import ionic_strength
from ..program.outcome import Optimal, Outcome, Stopped
from ..strength.search import Sought
from .distance import DISTANCES, TOUCHED, Stage, changed, distance
from .nearness import Nearness

CLOSE = (*DISTANCES, Stage.TOUCHED, Stage.COST)
"""Closeness before cost."""

CHEAP = (Stage.COST, *DISTANCES, Stage.TOUCHED)
"""Cost before closeness."""

SOME = 1e-3
"""The share at which a material that was left out is tried [kg/kg]."""


@dataclass(frozen=True, slots=True)
class Near:
    """A composition near a formula.

    Args:
        composition: shares of materials [kg/kg].
        cost: materials in a kilogram of mix [money/kg].
        apart: stage -> how far it is, weighed; what was kept small [kg/kg].
        changed: stage -> share of the bar that is something else than before [kg/kg].
        touched: materials whose share changed, in shelf order.
        verdicts: every rule, in the order of the brief.
    """

    composition: Composition
    cost: float
    apart: Mapping[Stage, float]
    changed: Mapping[Stage, float]
    touched: tuple[str, ...]
    verdicts: tuple[Verdict, ...]


def nearest(
    bench: Bench,
    formula: Composition,
    order: Sequence[Stage] = CLOSE,
    *,
    within: Mapping[str, tuple[float, float]] | None = None,
    nearly: float = 0.0,
    deadline: Deadline = NEVER,
) -> Near | Refusal:
    """Find the composition nearest to a formula that keeps every rule of a bench.

    Args:
        bench: what was read; its shelf holds every material of the formula.
        formula: shares today [kg/kg].
        order: what to keep small first, each stage once.
        within: material -> the least and the largest share that it may have [kg/kg].
        nearly: by how much a distance may be missed so that fewer materials are touched [kg/kg].
        deadline: when to give up.

    Raises:
        CheckFailedError: when the answer breaks a rule by the independent check.
    """
    near = Nearness(bench, formula, within or {}, nearly=nearly)

    def ask(rows: Rows) -> Outcome:
        return near.staged(near.program(rows), order, deadline)

    def composition_of(outcome: Outcome) -> Composition | None:
        return composed(bench, outcome) if isinstance(outcome, Optimal) else None

    start = ionic_strength(bench, formula)
    found = settled_anywhere(bench, ask, composition_of, start, near.bounded)
    if isinstance(found, Sought):
        return _refusal(found, near)
    outcome, rows = found
    if not isinstance(outcome, Optimal):
        return Refusal(Stopped("nothing was found"), near.rules_alone(rows), rows)
    return near_of(bench, formula, near.settle(near.program(rows), outcome, order))


def _refusal(found: Sought, near: "Nearness") -> Refusal:
    """No composition; or one that keeps the rules, and none that could be brought near."""
    outcome = found.outcome
    if isinstance(outcome, Optimal):
        outcome = Stopped("the ionic strength did not come to rest")
    return Refusal(outcome, found.program, found.rows, found.parts, near.bounded)


def near_of(bench: Bench, formula: Composition, composition: Composition) -> Near:
    """What there is to say of a composition that must keep every rule.

    Raises:
        CheckFailedError: when it does not.
    """
    return _near(bench, formula, composition, checked(bench, composition))


def exchanged(bench: Bench, formula: Composition) -> Near | None:
    """The exchange with the rules of the brief left aside: what one would weigh without them.

    Only what is not to be used stays out. Its verdicts say which rules the exchange breaks;
    ``None`` where even so nothing can be made.
    """
    outs = tuple(rule for rule in bench.brief.rules if rule.shuts_out() is not None)
    free = replace(bench, brief=replace(bench.brief, rules=outs))
    found = nearest(free, formula)
    if isinstance(found, Refusal):
        return None
    return _near(bench, formula, found.composition, judge(bench, found.composition))


def with_some(
    bench: Bench, formula: Composition, name: str, order: Sequence[Stage] = CLOSE
) -> Near | Refusal:
    """The nearest composition that has at least ``SOME`` of a material: why it was left out."""
    return nearest(bench, formula, order, within={name: (SOME, 1.0)})


def kept_out(bench: Bench) -> frozenset[str]:
    """Materials that some rule leaves no place for, whatever else is in the bar."""
    frame = frame_of(bench)
    return frozenset(
        frame.materials[column].name
        for rule in bench.brief.rules
        if (of := rule.shuts_out()) is not None
        for column in picked(of, frame)
    )


def _near(
    bench: Bench, formula: Composition, composition: Composition, verdicts: tuple[Verdict, ...]
) -> Near:
    return Near(
        composition=composition,
        cost=bench.cost_of(composition),
        apart={stage: distance(bench, formula, composition, stage) for stage in DISTANCES},
        changed={stage: changed(bench, formula, composition, stage) for stage in DISTANCES},
        touched=tuple(touched(bench, formula, composition)),
        verdicts=verdicts,
    )


def touched(bench: Bench, before: Composition, after: Composition) -> Iterable[str]:
    """Materials whose share differs, in shelf order."""
    for item in bench.shelf:
        name = item.material.name
        if abs(after.parts.get(name, 0.0) - before.parts.get(name, 0.0)) > TOUCHED:
            yield name
