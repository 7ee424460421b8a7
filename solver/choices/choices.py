"""Yes/no choices the other way: what each would cost, and the next best of them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.rule import Limited
from ...constraints.values.told import Told
from ..cheapest.cheapest import (
    Finding,
    composed,
    kept,
    least_anywhere,
    made_for,
    made_in,
    written_for,
)
from ..prices.worth import is_proved
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Infeasible, Optimal, Program
from ..program.session import Session
from ..strength.search import Sought


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

    Those that may cost least are settled first. What there is no time to settle whatever the ionic
    strength is what the rows of the finding give, and not proved; what there is no time for at all
    is left out, so that there are fewer of them than of ``ways_to_choose``.

    Args:
        bench: what was read.
        finding: its cheapest composition.
        prove: whether to prove each answer.
        deadline: when to give up.
    """
    ways = _promising(finding, ways_to_choose(bench, finding), deadline)
    found = {} if deadline.is_never else dict(_at_first_sight(bench, finding, ways, deadline))
    for way in sorted(ways, key=lambda way: _by_premium(found.get(way))):
        if deadline.passed():
            break
        settled = _settled(bench, finding, way, prove=prove, deadline=deadline)
        if settled is not None:
            found[way] = settled
    return tuple(sorted(found.values(), key=_by_premium))


@dataclass(frozen=True, slots=True)
class Way:
    """A choice made the other way.

    Args:
        material: what is chosen about.
        used: whether it is used then.
        rule: the id of the rule that lets it be chosen among others, or ``None``.
        column: of the choice.
    """

    material: str
    used: bool
    rule: str | None
    column: int

    def held(self, program: Program) -> Program:
        """A program with the choice made so."""
        ends = (_put(one, self.column, float(self.used)) for one in (program.lower, program.upper))
        lower, upper = ends
        return replace(program, lower=lower, upper=upper)


def ways_to_choose(bench: Bench, finding: Finding) -> tuple[Way, ...]:
    """Every choice of a finding that could be made the other way.

    Where a rule wants an exact number out of several, leaving out one of those used is the same as
    using another, and is not asked.
    """
    return tuple(_ways(bench, finding))


def _ways(bench: Bench, finding: Finding) -> Iterator[Way]:
    among = _among(bench)
    first = len(finding.rows.materials)
    for place, material in enumerate(finding.rows.choices):
        used = material in finding.composition.parts
        rule = among.get(material)
        if used and rule is not None and rule.low == rule.high:
            continue
        yield Way(material, not used, None if rule is None else rule.id, first + place)


def _by_premium(other: Other | None) -> tuple[bool, float, str]:
    if other is None:
        return True, 0.0, ""
    return other.premium is None, other.premium or 0.0, other.material


def _promising(finding: Finding, ways: Sequence[Way], deadline: Deadline) -> list[Way]:
    """Those that may cost least first: by their reduced costs with all choices half made."""
    if deadline.is_never:
        return list(ways)
    half = replace(finding.program, whole=(False,) * len(finding.program.whole))
    outcome = Session(half, deadline).solve()
    if not isinstance(outcome, Optimal):
        return list(ways)
    return sorted(ways, key=lambda way: abs(outcome.column_prices[way.column]))


def _at_first_sight(
    bench: Bench, finding: Finding, ways: Sequence[Way], deadline: Deadline
) -> Iterator[tuple[Way, Other]]:
    """What the rows of the finding give, one after the other in one solver."""
    session = Session(finding.program, deadline)
    for way in ways:
        ends = (way.column, float(way.used), float(way.used))
        outcome = session.solve_with(bounds=[ends])
        point = outcome if isinstance(outcome, Optimal) else None
        if point is not None and not kept(bench, composed(bench, point)):
            point = made_in(bench, session, finding.program, point)  # as exactly as can be
            if point is not None and not kept(bench, composed(bench, point)):
                point = None
        if point is not None:
            yield way, _other(bench, finding, way, point, proved=False)
        if deadline.passed():
            return


def _among(bench: Bench) -> dict[str, Limited]:
    """The rule under which each material is one choice among others."""
    rules = [rule for rule in bench.brief.rules if isinstance(rule, Limited)]
    return {material: rule for rule in rules for material in rule.offers()}


def _settled(
    bench: Bench, finding: Finding, way: Way, *, prove: bool, deadline: Deadline
) -> Other | None:
    """The cheapest with a choice, whatever the ionic strength; ``None`` where time ran out."""
    start = finding.rows.ionic_strength
    answer = least_anywhere(bench, also=way.held, start=start, deadline=deadline)
    if isinstance(answer.outcome, Infeasible):
        return Other(way.material, way.used, way.rule, premium=None, composition=None, proved=False)
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


def _put(values: tuple[float, ...], column: int, value: float) -> tuple[float, ...]:
    return (*values[:column], value, *values[column + 1 :])


def _is_proved(bench: Bench, way: Way, answer: Sought, shown: Optimal, deadline: Deadline) -> bool:
    from ..proof.proof import prove
    from ..strength.proof import prove_within

    if answer.parts:
        written = written_for(bench, way.held)
        return is_proved(prove_within(bench, written, answer.parts, shown, deadline))
    return is_proved(prove(answer.program, shown, deadline=deadline))
