"""The least cost as one limit or one price moves.

A share, a dose, a count, a mean, a cost and a price stand in rows and costs as plain figures: the
least cost is then a piecewise straight function of them, found exactly with the choice of materials
and the ionic strength held. A ratio and a pH stand in coefficients: their course bends, and is
found point by point, each point solved on its own with the choice free.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Limited
from ...constraints.rules.prices import priced_rows
from ...constraints.values.told import Told
from ..cheapest.cheapest import Finding, least
from ..cheapest.chosen import chosen
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Optimal, Program
from ..program.relaxed import loosened
from ..proof.proved import Unproved
from ..sensitivity.curves import limit_curve, price_curve
from ..sensitivity.limits import Side
from .worth import row_of

GRID = 21
"""Points at which a course that bends is solved."""

NOTABLE = 1e-6
"""A cost lower by less than this is the same [money/kg]."""


@dataclass(frozen=True, slots=True, repr=False)
class Course(Told):
    """The least cost over an interval.

    Args:
        points: (limit or price, cost), ascending, in canonical units; corners of the function where
            it is exact. Where no composition keeps the rules there are none.
        exact: whether the cost is straight between neighbouring points.
        now: the limit or price as it stands, and the cost.
        choices: materials used by choice that are held; empty where the choice is free.
        cheaper: places among ``points`` at which another choice would cost less.
        undone: whether time ran out before every place was looked at.
    """

    points: tuple[tuple[float, float], ...]
    exact: bool
    now: tuple[float, float]
    choices: tuple[str, ...]
    cheaper: tuple[float, ...]
    undone: bool = False


def is_plain(finding: Finding, rule: Limited, side: str) -> bool:
    """Whether a limit is a plain figure of a row in use, so that its course is exact."""
    return row_of(finding, rule, side) is not None and not is_unused(finding, rule)


def is_unused(finding: Finding, rule: Limited) -> bool:
    """Whether a rule is the dose of a material that is left out."""
    return rule.dosed is not None and rule.dosed not in finding.composition.parts


def over_limit(
    bench: Bench,
    finding: Finding,
    rule: Limited,
    side: str,
    ends: tuple[float, float],
    *,
    deadline: Deadline = NEVER,
) -> Course | Unproved:
    """The exact course over a limit that is a plain figure.

    Raises:
        ValueError: when it is none, or when the interval is not one.
    """
    place = row_of(finding, rule, side)
    if place is None or not is_plain(finding, rule, side):
        raise ValueError(f"{rule.id} is no plain figure of a row")
    row, standing = finding.program.rows[place], rule.standing(side)
    which = Side.BOTH if row.low == row.high else Side(side)
    origin = row.high if side == "high" else row.low
    shift = standing - origin
    start, end = (at - shift for at in ends)
    curve = limit_curve(*finding.fixed, (place, which), start, end)
    if isinstance(curve, Unproved):
        return curve
    course = _course(finding, curve.points, shift, standing)
    if which is Side.BOTH or not finding.conditional:
        return course
    places = [at for at, _ in course.points]
    return replace(
        course,
        cheaper=tuple(
            at
            for at in places
            if _has_cheaper(with_limit(bench, rule, side, at), finding, deadline)
        ),
        undone=deadline.passed(),
    )


def over_price(
    bench: Bench,
    finding: Finding,
    material: str,
    ends: tuple[float, float],
    *,
    deadline: Deadline = NEVER,
) -> Course | Unproved:
    """The course over the price of a material, exact where the cost is straight in it.

    Where the price stands in a rule other than a cap on the whole cost, the rule's coefficients
    move with it: the course is then found point by point.

    Raises:
        ValueError: when the interval is not one.
    """
    column = finding.rows.materials.index(material)
    moving = priced_rows(bench, column, finding.rows.ionic_strength)
    if not all(row.caps_cost for row in moving):
        return _over_price_grid(bench, finding, material, ends, deadline)
    program, answer = finding.fixed
    # A cap on cost counts in today's prices; it is put back as where the curve ends.
    caps = {one.row.rule for one in moving}
    curve = price_curve(_without_caps(caps, program), answer, column, *ends)
    if isinstance(curve, Unproved):
        return curve
    cap = min((one.row.high for one in moving), default=None)
    points = _below(cap, curve.points)
    course = _course(finding, points, 0.0, finding.program.costs[column])
    if not finding.conditional:
        return course
    places = [at for at, _ in course.points]
    return replace(
        course,
        cheaper=tuple(
            at for at in places if _has_cheaper(with_price(bench, material, at), finding, deadline)
        ),
        undone=deadline.passed(),
    )


def _over_price_grid(
    bench: Bench,
    finding: Finding,
    material: str,
    ends: tuple[float, float],
    deadline: Deadline,
) -> Course:
    low, high = ends
    places = [low + (high - low) * step / (GRID - 1) for step in range(GRID)]
    now = (bench.item(material).price, finding.cost)
    benches = ((at, with_price(bench, material, at)) for at in places)
    return _point_by_point(benches, finding, now, deadline)


def over_grid(
    bench: Bench,
    finding: Finding,
    rule: Limited,
    side: str,
    places: Sequence[float],
    *,
    deadline: Deadline = NEVER,
) -> Course:
    """The course over any limit, point by point, the choice of materials free."""
    benches = ((at, with_limit(bench, rule, side, at)) for at in places)
    return _point_by_point(benches, finding, (rule.standing(side), finding.cost), deadline)


def _point_by_point(
    benches: Iterable[tuple[float, Bench]],
    finding: Finding,
    now: tuple[float, float],
    deadline: Deadline,
) -> Course:
    """The course over benches that differ in one figure, as far as there is time."""
    points: list[tuple[float, float]] = []
    for at, bench in benches:
        cost = _free_cost(bench, finding, deadline)
        if cost is None and deadline.passed():
            return Course(tuple(points), exact=False, now=now, choices=(), cheaper=(), undone=True)
        if cost is not None:
            points.append((at, cost))
    return Course(tuple(points), exact=False, now=now, choices=(), cheaper=())


def with_limit(bench: Bench, rule: Limited, side: str, at: float) -> Bench:
    """The bench with one limit elsewhere."""
    rules = tuple(rule.moved(side, at) if one is rule else one for one in bench.brief.rules)
    return replace(bench, brief=replace(bench.brief, rules=rules))


def with_price(bench: Bench, material: str, at: float) -> Bench:
    """The bench with one material at another price."""
    shelf = tuple(
        replace(item, price=at) if item.material.name == material else item for item in bench.shelf
    )
    return replace(bench, shelf=shelf)


def _course(
    finding: Finding, points: Iterable[tuple[Fraction, Fraction]], shift: float, standing: float
) -> Course:
    used = [name for name in finding.rows.choices if name in finding.composition.parts]
    return Course(
        # two corners that are apart by less than a float can say are one
        points=tuple({float(at) + shift: float(cost) for at, cost in points}.items()),
        exact=True,
        now=(standing, finding.cost),
        choices=tuple(used) if finding.conditional else (),
        cheaper=(),
    )


def _free_cost(bench: Bench, finding: Finding, deadline: Deadline = NEVER) -> float | None:
    outcome, _, _ = least(bench, start=finding.rows.ionic_strength, deadline=deadline)
    return outcome.cost if isinstance(outcome, Optimal) else None


def _has_cheaper(bench: Bench, finding: Finding, deadline: Deadline) -> bool:
    """Whether a bench has a cheaper composition with another choice than a finding's."""
    if deadline.passed():
        return False

    def held(program: Program) -> Program:
        return chosen(program, finding.optimal.x)

    free = _free_cost(bench, finding, deadline)
    outcome, _, _ = least(bench, also=held, start=finding.rows.ionic_strength, deadline=deadline)
    if free is None or deadline.passed():
        return False
    return not isinstance(outcome, Optimal) or free < outcome.cost - NOTABLE


def _without_caps(rules: Collection[str], program: Program) -> Program:
    rows = tuple(loosened(row) if row.rule in rules else row for row in program.rows)
    return replace(program, rows=rows)


def _below(
    cap: float | None, points: Sequence[tuple[Fraction, Fraction]]
) -> list[tuple[Fraction, Fraction]]:
    """A rising curve up to where it meets a cap."""
    if cap is None:
        return list(points)
    top = Fraction(cap)
    kept = [(at, cost) for at, cost in points if cost <= top]
    if kept and len(kept) < len(points):
        (a, cost_a), (b, cost_b) = points[len(kept) - 1], points[len(kept)]
        kept.append((a + (b - a) * (top - cost_a) / (cost_b - cost_a), top))
    return kept
