"""What is demanded of a bench: which rule holds for which share of what may come."""

from collections.abc import Mapping
from dataclasses import replace

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Kind, Rule
from ...constraints.model.uncertainty import Uncertainty
from ...constraints.rules.holding import for_rule

ALWAYS = 1.0
"""Sure for every lot that may come."""

TYPICAL = 0.0
"""No surer than typical lots make it."""


def moved_by_lots(rule: Rule) -> bool:
    """Whether another lot can change what a rule says; a law counts as it counts."""
    return rule.varies and rule.kind is not Kind.LAW


def demanded(bench: Bench, known: Uncertainty, scales: Mapping[str, float]) -> Bench:
    """The bench with each rule holding for its own share of the ranges.

    Args:
        bench: what was read.
        known: the set, and what is added at the bench.
        scales: rule -> the share of every range [1]; a rule that is not named holds for typical
            lots, unless the brief says that it always holds.
    """
    rules = tuple(
        replace(rule, within=_within(rule, known, _scale(rule, scales)))
        for rule in bench.brief.rules
    )
    return replace(bench, brief=replace(bench.brief, rules=rules))


def _scale(rule: Rule, scales: Mapping[str, float]) -> float:
    return ALWAYS if rule.within is not None else scales.get(rule.id, TYPICAL)


def _within(rule: Rule, known: Uncertainty, scale: float) -> Uncertainty | None:
    if not scale and known.correction is None:
        return None
    return for_rule(rule, replace(known, scale=known.scale * scale))
