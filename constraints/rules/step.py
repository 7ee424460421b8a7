"""One more unit of a rule: the step in which a maker thinks of moving a limit."""

from ..model.rule import Acidity, Choose, Cost, Density, Limited, Mean, Ratio, Rule

SIDES = ("low", "high")


def step_of(rule: Limited, side: str) -> float:
    """How far one step moves a limit, in the canonical unit of the rule.

    A tenth of a pH or of a money unit; a tenth of a ratio from 1 up and a hundredth below; one
    material of a choice; for shares a whole per cent from 10 %, a tenth from 0.2 % and a hundredth
    below; for a mean or a density a tenth of the power of ten below its limit.

    Raises:
        ValueError: when that side is free.
    """
    limit = rule.limit(side)
    if limit is None:
        message = f"{rule.id} has no {side} limit"
        raise ValueError(message)
    if isinstance(rule, Acidity | Cost):
        return 0.1
    if isinstance(rule, Ratio):
        return 0.1 if limit >= 1 else 0.01
    if isinstance(rule, Choose):
        return 1.0
    if isinstance(rule, Mean | Density):
        return _power_of_ten_below(abs(limit)) / 10 if limit else 0.1
    return _share_step(limit)


def _share_step(limit: float) -> float:
    if limit >= 0.1:
        return 0.01
    return 0.001 if limit >= 0.002 else 0.0001


def _power_of_ten_below(value: float) -> float:
    from math import floor, log10

    return float(10.0 ** floor(log10(value)))


def standing_of(rule: Rule, side: str) -> float:
    """Where a limit stands; 0 for what is not to be used."""
    if not isinstance(rule, Limited):
        return 0.0
    limit = rule.limit(side)
    return 0.0 if limit is None else limit
