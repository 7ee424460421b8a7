"""Yes/no choices the other way: what each would cost, and the next best of them.

Each is bounded first, by warm re-solves without whole-number demands; where a composition with the
choices that such a solve leans to keeps every rule and costs no more, that settles it. Only what is
left is searched for.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from ...constraints.model.brief import Bench, Composition
from ...constraints.rules.outer import acidity_rules
from ...constraints.values.told import Told
from ..cheapest.cheapest import Finding, least_anywhere, written_for
from ..cheapest.chosen import made_for
from ..cheapest.stepping import WORTH_SAYING
from ..prices.worth import is_proved
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Infeasible, Optimal
from ..strength.composing import composed, kept
from ..strength.parts import Sought
from ..strength.search import least_needed
from .cells import Bound, bound_of, cells_of
from .points import Points
from .ways import Way, ways_to_choose


@dataclass(frozen=True, slots=True, repr=False)
class Other(Told):
    """The cheapest composition with one choice made the other way.

    Args:
        material: what was chosen about.
        used: whether it is used there; the finding does the opposite.
        rule: the id of the rule that lets it be chosen among others, or ``None``.
        premium: cost above the finding's [money/kg]; ``None`` where nothing keeps the rules so.
        composition: what it would be; ``None`` where nothing keeps the rules so.
        proved: whether no composition with that choice costs less, proved exactly.
    """

    material: str
    used: bool
    rule: str | None
    premium: float | None
    composition: Composition | None
    proved: bool


def other_choices(
    bench: Bench, finding: Finding, *, prove: bool = True, deadline: Deadline = NEVER
) -> tuple[Other, ...]:
    """Each choice of a finding made the other way, cheapest first.

    Those that may cost least are settled first. Of what there is no time to settle, a composition
    met on the way is told as not proved; what there is no time for at all is left out, so that
    there are fewer of them than of ``ways_to_choose``.

    Args:
        bench: what was read.
        finding: its cheapest composition.
        prove: whether to prove each answer.
        deadline: when to give up.
    """
    ways = ways_to_choose(bench, finding)
    found: dict[Way, Other] = {}
    left = list(ways)
    if finding.parts or not acidity_rules(bench):
        first = _Quick(bench, finding, prove=prove, deadline=deadline)
        left = []
        for way, other, is_settled in first.asked(ways):
            if other is not None:
                found[way] = other
            if not is_settled:
                left.append(way)
    for way in left:
        if deadline.passed():
            break
        settled = _searched(bench, finding, way, prove=prove, deadline=deadline)
        if settled is not None:
            found[way] = settled
    return tuple(sorted(found.values(), key=_by_premium))


def _by_premium(other: Other) -> tuple[bool, float, str]:
    return other.premium is None, other.premium or 0.0, other.material


class _Quick:
    """Choices settled by a bound and a composition that meet, in programs kept in the solver."""

    def __init__(self, bench: Bench, finding: Finding, *, prove: bool, deadline: Deadline) -> None:
        self._bench, self._finding = bench, finding
        self._prove, self._deadline = prove, deadline

    def asked(self, ways: tuple[Way, ...]) -> Iterator[tuple[Way, Other | None, bool]]:
        """Each way, what is known of it, and whether that settles it; the cheapest bound first."""
        bounds = dict(self._bounded(ways))
        points = None
        for way in sorted(ways, key=lambda way: bounds[way].cost if way in bounds else 0.0):
            if self._deadline.passed():
                return
            if way not in bounds:
                yield way, None, False
            elif not bounds[way].cells:
                yield way, _impossible(way), True
            else:
                points = points or Points(self._bench, self._finding, self._deadline)
                yield way, *self._met(way, bounds[way], points)

    def _bounded(self, ways: tuple[Way, ...]) -> Iterator[tuple[Way, Bound]]:
        cells = cells_of(self._bench, self._finding, self._deadline)
        for way in ways:
            bound = bound_of(cells, way)
            if bound is not None:
                yield way, bound

    def _met(self, way: Way, bound: Bound, points: Points) -> tuple[Other | None, bool]:
        """A composition with the choice, and whether none can cost less."""
        point = points.near(bound.cells[0][1])
        if point is None:
            return None, False
        needed = self._needed(point.cost)
        raised = bound.raised(needed)
        if raised is None:
            return _other(self._bench, self._finding, way, point, proved=False), False
        proved = self._prove and not self._deadline.passed() and raised.shows(needed)
        other = _other(self._bench, self._finding, way, point, proved=proved)
        return other, proved or not self._prove

    def _needed(self, cost: float) -> float:
        """What must be out of reach below a cost."""
        return least_needed(cost) if self._finding.parts else cost - WORTH_SAYING


def _impossible(way: Way) -> Other:
    return Other(way.material, way.used, way.rule, premium=None, composition=None, proved=False)


def _searched(
    bench: Bench, finding: Finding, way: Way, *, prove: bool, deadline: Deadline
) -> Other | None:
    """The cheapest with a choice, whatever the ionic strength; ``None`` where time ran out."""
    start = finding.rows.ionic_strength
    answer = least_anywhere(bench, also=way.held, start=start, deadline=deadline)
    if isinstance(answer.outcome, Infeasible):
        return _impossible(way)
    if not isinstance(answer.outcome, Optimal):
        return None
    again = made_for(bench, answer.program, answer.outcome)
    if again is None or not kept(bench, composed(bench, again)):
        return None
    proved = prove and not deadline.passed() and _is_proved(bench, way, answer, again, deadline)
    return _other(bench, finding, way, again, proved=proved)


def _other(bench: Bench, finding: Finding, way: Way, found: Optimal, *, proved: bool) -> Other:
    premium, composition = found.cost - finding.cost, composed(bench, found)
    return Other(way.material, way.used, way.rule, premium, composition, proved)


def _is_proved(bench: Bench, way: Way, answer: Sought, shown: Optimal, deadline: Deadline) -> bool:
    from ..proof.proof import prove
    from ..strength.proof import prove_within

    if answer.parts:
        written = written_for(bench, way.held)
        return is_proved(prove_within(bench, written, answer.parts, shown, deadline))
    return is_proved(prove(answer.program, shown, deadline=deadline))
