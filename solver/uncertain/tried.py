"""A composition tried on many lots: how often each rule breaks, and how sure that is."""

from dataclasses import dataclass

import numpy as np

from ...constraints.model.lots import Flags, Lots
from ...constraints.model.rule import Limited, Rule
from .confidence import SURE, at_most


@dataclass(frozen=True, slots=True)
class RuleTried:
    """What many lots do to one rule.

    Args:
        rule: the rule.
        broken: in how many lots it is broken.
        of: how many lots were tried.
        at_most: upper confidence bound on the share of lots that break it [1].
        low, middle, high: what it is about in the lowest, the middle and the highest of the lots,
            in the unit of its limits; ``None`` where it has no value.
    """

    rule: Rule
    broken: int
    of: int
    at_most: float
    low: float | None
    middle: float | None
    high: float | None

    @property
    def share(self) -> float:
        """Share of the lots that break it [1]."""
        return self.broken / self.of


@dataclass(frozen=True, slots=True)
class Tried:
    """What many lots do to a composition.

    Args:
        rules: every rule, in the order of the brief.
        broken: in how many lots any of them is broken.
        of: how many lots were tried.
        at_most: upper confidence bound on the share of lots that break any [1].
        sure: how sure the bounds are [1].
    """

    rules: tuple[RuleTried, ...]
    broken: int
    of: int
    at_most: float
    sure: float

    @property
    def share(self) -> float:
        """Share of the lots that break any rule [1]."""
        return self.broken / self.of

    @property
    def kept_at_least(self) -> float:
        """Lower confidence bound on the share of lots in which every rule is kept [1]."""
        return 1.0 - self.at_most


def tried(
    rules: tuple[Rule, ...], lots: Lots, corrected: Lots | None = None, sure: float = SURE
) -> Tried:
    """Judge a composition by every rule in each of many lots.

    Args:
        rules: those of the brief.
        lots: drawn independently, if the bounds are to be more than an indication.
        corrected: the same lots with the most that is added at the bench. A rule for whose sake it
            is added is kept in a lot where some addition brings it to hold: its value moves without
            a break from the one to the other, so that it does if each limit is kept at an end.
            Every other rule must be kept at both.
        sure: how sure the bounds are to be [1].

    Raises:
        ValueError: when there is no lot, or ``sure`` is not between 0 and 1.
    """
    kept = [_kept(rule, lots, corrected) for rule in rules]
    every = np.logical_and.reduce(kept) if kept else lots.all_or_none(kept=True)
    broken = int(np.count_nonzero(~every))
    return Tried(
        rules=tuple(_tried(rule, one, lots, sure) for rule, one in zip(rules, kept, strict=True)),
        broken=broken,
        of=lots.count,
        at_most=at_most(broken, lots.count, sure),
        sure=sure,
    )


def _kept(rule: Rule, lots: Lots, corrected: Lots | None) -> Flags:
    if corrected is None:
        return rule.kept_in(lots)
    if not rule.corrected or not isinstance(rule, Limited):
        return rule.kept_in(lots) & rule.kept_in(corrected)
    kept = lots.all_or_none(kept=True)
    for side in rule.limits():
        only = rule.moved("high" if side == "low" else "low", None)
        kept &= only.kept_in(lots) | only.kept_in(corrected)
    return kept


def _tried(rule: Rule, kept: Flags, lots: Lots, sure: float) -> RuleTried:
    broken = int(np.count_nonzero(~kept))
    low, middle, high = _quantiles(rule, lots)
    return RuleTried(rule, broken, lots.count, at_most(broken, lots.count, sure), low, middle, high)


def _quantiles(rule: Rule, lots: Lots) -> tuple[float | None, float | None, float | None]:
    if not isinstance(rule, Limited):
        return None, None, None
    values = rule.value_in(lots)
    values = values[~np.isnan(values)]
    if not len(values):
        return None, None, None
    return float(values.min()), float(np.median(values)), float(values.max())
