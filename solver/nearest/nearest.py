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
from ...constraints.values.told import Told
from ..cheapest.cheapest import Refusal, least
from ..cheapest.settling import settled_anywhere
from ..program.deadline import NEVER, TIME_RAN_OUT, Deadline
from ..program.fixed_point import ionic_strength
from ..program.outcome import Infeasible, Optimal, Outcome, Stopped
from ..strength.composing import checked, composed
from ..strength.parts import Sought
from .distance import DISTANCES, TOUCHED, Stage, changed, distance
from .manner import manner_of
from .nearness import Nearness

CLOSE = (*DISTANCES, Stage.TOUCHED, Stage.COST)
"""Closeness before cost."""

BY_CONTENT = (*DISTANCES, Stage.COST)
"""Closeness before cost, however many materials that touches."""

CHEAP = (Stage.COST, *DISTANCES, Stage.TOUCHED)
"""Cost before closeness."""

FEW = (Stage.COUNT, Stage.CLASS, Stage.TOUCHED, Stage.LIKE)
"""Few materials while the rules leave room for that, as near by class as these allow; then the
least trouble, a little farther where that was allowed; then, with so many, as near as can be."""

SOME = 1e-3
"""The share at which a material that was left out is tried [kg/kg]."""


@dataclass(frozen=True, slots=True, repr=False)
class Near(Told):
    """A composition near a formula.

    Args:
        composition: shares of materials [kg/kg].
        cost: materials in a kilogram of mix [money/kg].
        apart: stage -> how far it is, weighed; what was kept small [kg/kg].
        changed: stage -> share of the bar that is something else than before [kg/kg].
        touched: materials whose share changed, in shelf order.
        verdicts: every rule, in the order of the brief.
        sensible: whether changes are those that a formulator makes, where these were asked for:
            within what is advised, none too small to weigh, not padded with water.
    """

    composition: Composition
    cost: float
    apart: Mapping[Stage, float]
    changed: Mapping[Stage, float]
    touched: tuple[str, ...]
    verdicts: tuple[Verdict, ...]
    sensible: bool = True


def nearest(
    bench: Bench,
    formula: Composition,
    order: Sequence[Stage] = CLOSE,
    *,
    within: Mapping[str, tuple[float, float]] | None = None,
    nearly: float = 0.0,
    wanted: Iterable[str] = (),
    deadline: Deadline = NEVER,
) -> Near | Refusal:
    """Find the composition nearest to a formula that keeps every rule of a bench.

    Args:
        bench: what was read; its shelf holds every material of the formula.
        formula: shares today [kg/kg].
        order: what to keep small first, each stage once.
        within: material -> the least and the largest share that it may have [kg/kg].
        nearly: by how much the distance by class may be missed so that fewer materials are touched
            [kg/kg]. Above 0, and unless cost comes first, changes are then few and such as a
            formulator makes wherever the rules leave room for that: see ``manner``. Where they
            leave none, the answer says so: ``sensible`` is false.
        wanted: materials that are asked to come in: others come in last where changes are few.
        deadline: when to give up.

    Raises:
        CheckFailedError: when the answer breaks a rule by the independent check.
    """
    if nearly > 0 and Stage.COST not in order[:1]:
        asked = tuple(wanted)
        found = _few(bench, formula, within or {}, nearly, wanted=asked, deadline=deadline)
        if isinstance(found, Near) or not isinstance(found.outcome, Infeasible):
            return found
        free = Nearness(bench, formula, within or {}, nearly=nearly)
        found = _nearest(bench, formula, free, FEW, deadline)
        return found if isinstance(found, Refusal) else replace(found, sensible=False)
    near = Nearness(bench, formula, within or {}, nearly=nearly)
    return _nearest(bench, formula, near, order, deadline)


def _few(
    bench: Bench,
    formula: Composition,
    within: Mapping[str, tuple[float, float]],
    nearly: float,
    *,
    wanted: tuple[str, ...],
    deadline: Deadline,
) -> Near | Refusal:
    """Changed as a formulator does: with what is asked to come in alone, where few changes do."""
    manner = manner_of(bench, formula, wanted)
    bounds = {**manner.within, **within}

    def found(ends: Mapping[str, tuple[float, float]]) -> Near | Refusal:
        few = Nearness(bench, formula, ends, nearly=nearly, manner=manner)
        return _nearest(bench, formula, few, FEW, deadline)

    shut = dict.fromkeys(manner.strangers - within.keys(), (0.0, 0.0))
    if shut:
        asked = found({**bounds, **shut})
        if isinstance(asked, Near) and brings(asked, wanted, manner.few):
            return asked
    return found(bounds)


def brings(near: Near, wanted: Iterable[str], few: int) -> bool:
    """Whether something that was asked to come in does, with few changes."""
    return len(near.touched) <= few and any(name in near.composition.parts for name in wanted)


def _nearest(
    bench: Bench,
    formula: Composition,
    near: Nearness,
    order: Sequence[Stage],
    deadline: Deadline,
) -> Near | Refusal:
    """The nearest composition in one layout, at its own ionic strength."""
    lay = near.program if Stage.TOUCHED in order or Stage.LIKE in order else near.plain

    last: list[Optimal] = []

    def ask(rows: Rows) -> Outcome:
        # another round moves the rows by a hair: the materials touched stand while they can
        found = near.again(lay(rows), last[-1], order) if last and order is FEW else None
        outcome = found or near.staged(lay(rows), order, deadline)
        last[:] = [outcome] if isinstance(outcome, Optimal) else []
        return outcome

    def composition_of(outcome: Outcome) -> Composition | None:
        return composed(bench, outcome) if isinstance(outcome, Optimal) else None

    start = ionic_strength(bench, formula)
    found = settled_anywhere(bench, ask, composition_of, start, near.bounded, deadline=deadline)
    if isinstance(found, Sought):
        return _refusal(found, near, deadline)
    outcome, rows = found
    if not isinstance(outcome, Optimal):
        return Refusal(_stopped("nothing was found", deadline), near.rules_alone(rows), rows)
    return near_of(bench, formula, near.settle(lay(rows), outcome, order))


def _refusal(found: Sought, near: "Nearness", deadline: Deadline) -> Refusal:
    """No composition; or one that keeps the rules, and none that could be brought near."""
    outcome = found.outcome
    if isinstance(outcome, Optimal):
        outcome = _stopped("the ionic strength did not come to rest", deadline)
    return Refusal(outcome, found.program, found.rows, found.parts, near.bounded)


def _stopped(why: str, deadline: Deadline) -> Stopped:
    return Stopped(TIME_RAN_OUT if deadline.passed() else why)


def near_of(bench: Bench, formula: Composition, composition: Composition) -> Near:
    """What there is to say of a composition that must keep every rule.

    Raises:
        CheckFailedError: when it does not.
    """
    return _near(bench, formula, composition, checked(bench, composition))


def exchanged(
    bench: Bench, formula: Composition, *, nearly: float = 0.0, deadline: Deadline = NEVER
) -> Near | None:
    """The exchange with the rules of the brief left aside: what one would weigh without them.

    Only what is not to be used stays out. Its verdicts say which rules the exchange breaks;
    ``None`` where even so nothing can be made.
    """
    outs = tuple(rule for rule in bench.brief.rules if rule.shuts_out() is not None)
    free = bench.with_only(outs)
    found = nearest(free, formula, nearly=nearly, deadline=deadline)
    if isinstance(found, Refusal):
        return None
    return _near(bench, formula, found.composition, judge(bench, found.composition))


def with_some(
    bench: Bench,
    formula: Composition,
    name: str,
    order: Sequence[Stage] = CLOSE,
    *,
    nearly: float = 0.0,
    deadline: Deadline = NEVER,
) -> Near | Refusal:
    """The nearest composition that has at least ``SOME`` of a material: why it was left out."""
    some = {name: (SOME, 1.0)}
    return nearest(bench, formula, order, within=some, nearly=nearly, deadline=deadline)


def cheapest_of(bench: Bench, formula: Composition, deadline: Deadline = NEVER) -> Near | None:
    """The cheapest composition of a bench beside a formula, or ``None`` where none was found."""
    outcome, _, _ = least(bench, deadline=deadline)
    if not isinstance(outcome, Optimal):
        return None
    made = composed(bench, outcome)
    return near_of(bench, formula, Composition(formula.name, made.parts))


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
