"""The choices of a finding, each of which could be made the other way."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Limited
from ..cheapest.cheapest import Finding
from ..program.outcome import Program


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

    @property
    def bound(self) -> tuple[int, float, float]:
        """The choice's column held where it is made so, as a solver is told."""
        return self.column, float(self.used), float(self.used)

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


def _among(bench: Bench) -> dict[str, Limited]:
    """The rule under which each material is one choice among others."""
    rules = [rule for rule in bench.brief.rules if isinstance(rule, Limited)]
    return {material: rule for rule in rules for material in rule.offers()}


def _put(values: tuple[float, ...], column: int, value: float) -> tuple[float, ...]:
    return (*values[:column], value, *values[column + 1 :])
