"""Yes/no choices the other way: what each would cost, and the next best of them."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.rule import Limited
from ..cheapest.cheapest import (
    Finding,
    checked,
    composed,
    least_anywhere,
    made_for,
    written_for,
)
from ..prices.worth import is_proved
from ..program.outcome import Optimal, Program
from ..strength.search import Sought


@dataclass(frozen=True, slots=True)
class Other:
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


def other_choices(bench: Bench, finding: Finding, *, prove: bool = True) -> tuple[Other, ...]:
    """Each choice of a finding made the other way, cheapest first.

    Where a rule wants an exact number out of several, leaving out one of those used is the same as
    using another, and is not asked.

    Args:
        bench: what was read.
        finding: its cheapest composition.
        prove: whether to prove each answer.
    """
    return tuple(sorted(_others(bench, finding, prove=prove), key=_by_premium))


def _by_premium(other: Other) -> tuple[bool, float, str]:
    return other.premium is None, other.premium or 0.0, other.material


def _others(bench: Bench, finding: Finding, *, prove: bool) -> Iterator[Other]:
    among = _among(bench)
    first = len(finding.rows.materials)
    for place, material in enumerate(finding.rows.choices):
        used = material in finding.composition.parts
        rule = among.get(material)
        if used and rule is not None and rule.low == rule.high:
            continue
        flipped = 0.0 if used else 1.0
        name = None if rule is None else rule.id
        other = _other(bench, finding, (first + place, flipped), prove=prove)
        yield replace(other, material=material, used=not used, rule=name)


def _among(bench: Bench) -> dict[str, Limited]:
    """The rule under which each material is one choice among others."""
    rules = [rule for rule in bench.brief.rules if isinstance(rule, Limited)]
    return {material: rule for rule in rules for material in rule.offers()}


def _other(bench: Bench, finding: Finding, flip: tuple[int, float], *, prove: bool) -> Other:
    column, value = flip

    def held(program: Program) -> Program:
        return replace(
            program,
            lower=_put(program.lower, column, value),
            upper=_put(program.upper, column, value),
        )

    answer = least_anywhere(bench, also=held, start=finding.rows.ionic_strength)
    outcome, program = answer.outcome, answer.program
    again = made_for(bench, program, outcome) if isinstance(outcome, Optimal) else None
    if again is None:
        return Other("", used=False, rule=None, premium=None, composition=None, proved=False)
    composition = composed(bench, again)
    checked(bench, composition)
    return Other(
        material="",
        used=True,
        rule=None,
        premium=again.cost - finding.cost,
        composition=composition,
        proved=prove and _is_proved(bench, held, answer, again),
    )


def _put(values: tuple[float, ...], column: int, value: float) -> tuple[float, ...]:
    return (*values[:column], value, *values[column + 1 :])


def _is_proved(
    bench: Bench, held: Callable[[Program], Program], answer: Sought, shown: Optimal
) -> bool:
    from ..proof.proof import prove
    from ..strength.proof import prove_within

    if answer.parts:
        return is_proved(prove_within(bench, written_for(bench, held), answer.parts, shown))
    return is_proved(prove(answer.program, shown))
