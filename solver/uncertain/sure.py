"""The cheapest composition that keeps its rules for the lots that may come.

*Always* is a demand on every lot of the set: each row stands at its own worst lots. A share, such
as 99 %, is a demand on how often: for each rule the ranges are drawn in towards their typical
values, just so far that the composition keeps the rule in that share of drawn lots. How far is
tuned on one set of draws and verified on fresh ones; what the fresh ones say is what is told.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import overload

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.uncertainty import Correction, Uncertainty
from ...constraints.rules.acidity import band_of
from ...constraints.values.told import Told
from ..cheapest.cheapest import Finding, Refusal, least_anywhere, said_of
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Optimal
from ..strength.composing import composed
from .demand import ALWAYS, TYPICAL, demanded, moved_by_lots
from .draws import DRAWS, FRESH_SEED
from .fresh import on_fresh_lots
from .leaning import correction_of
from .tried import Tried
from .tuning import Tuned, allowed, leant_on, tuned

_TRIES = 4


@dataclass(frozen=True, slots=True)
class Sure:
    """A composition that keeps its rules as surely as was asked.

    Args:
        share: of lots in which each rule is to be kept: ``ALWAYS``, ``TYPICAL`` or between [1].
        bench: with every rule holding for the lots that this takes.
        finding: the cheapest composition under these rules.
        scales: rule -> the share of every range for which its rows hold [1].
        correction: what is added at the bench, and the most of it that any of these lots takes.
        tried: what fresh, independent draws do to it, by the brief as it stands.
    """

    share: float
    bench: Bench
    finding: Finding
    scales: Mapping[str, float]
    correction: Correction | None
    tried: Tried

    @property
    def verified(self) -> bool:
        """Whether fresh draws bear out, to their confidence, that no rule breaks more often."""
        return _borne_out(self.tried, self.share)


def _borne_out(found: Tried, share: float) -> bool:
    return all(
        one.at_most <= 1.0 - share if share < ALWAYS and one.rule.within is None else not one.broken
        for one in found.rules
        if moved_by_lots(one.rule)
    )


@dataclass(frozen=True, slots=True, repr=False)
class NotSure(Told):
    """No composition keeps the rules so surely.

    Args:
        share: of lots in which each rule was to be kept.
        bench: with the rules as they were asked when that became plain.
        refusal: what the solver said of them.
        scales: rule -> the share of every range for which its rows were to hold [1].
        correction: what could have been added at the bench.
    """

    share: float
    bench: Bench
    refusal: Refusal
    scales: Mapping[str, float]
    correction: Correction | None


def surely(
    bench: Bench,
    share: float = ALWAYS,
    within: Uncertainty | None = None,
    *,
    draws: int = DRAWS,
    deadline: Deadline = NEVER,
) -> Sure | NotSure:
    """The cheapest composition that keeps each rule in so great a share of the lots that may come.

    Args:
        bench: what was read.
        share: ``TYPICAL``, ``ALWAYS``, or a share of lots between [1].
        within: the set, and what is added at the bench; without it whatever the certificates allow,
            and what the brief's rule on pH names as correcting it.
        draws: lots to tune by, and as many to verify.
        deadline: when to give up.

    Raises:
        ValueError: when the share is not between 0 and 1.
        CheckFailedError: when the answer breaks a rule by the independent check.
    """
    if not TYPICAL <= share <= ALWAYS:
        raise ValueError(f"a share of lots lies between 0 and 1, not at {share}")
    known = what_may_come(bench) if within is None else within
    asked = _Asked(bench, share, draws, deadline)
    if share in {TYPICAL, ALWAYS}:
        scales = {rule.id: share for rule in bench.brief.rules if moved_by_lots(rule)}
        leant = leant_on(bench, known, scales, deadline)
        strength = leant.strength if leant else 0.0
        by = Tuned(scales, leant.known if leant else known, leant is not None, strength)
        return asked.answered(by, FRESH_SEED)
    out = _surely_fewer(allowed(1.0 - share, draws))
    begin: Tuned | None = None
    for attempt in range(_TRIES - 1):
        by = tuned(bench, known, out, draws, deadline, begin=begin)
        answer = asked.answered(by, FRESH_SEED + attempt, surely=True)
        if answer is not None:
            return answer
        begin = by
        out = int(0.8 * out)  # the draws that tuned were kinder than the fresh ones
    by = tuned(bench, known, out, draws, deadline, begin=begin)
    return asked.answered(by, FRESH_SEED + _TRIES - 1)


def _surely_fewer(count: int) -> int:
    """So few that 19 times in 20 fresh draws bring no more than ``count``.

    The count by which is tuned and that by which is verified are both draws of a rare thing, each
    with a deviation of about its root.
    """
    return max(0, int(count - 1.645 * sqrt(2.0 * count)))


def what_may_come(bench: Bench) -> Uncertainty:
    """Whatever the certificates allow, and the correction that the brief's rule on pH names."""
    band = band_of(bench.brief)
    named = None if band is None else band.corrected_by
    return Uncertainty(correction=None if named is None else correction_of(bench, named))


@dataclass(frozen=True, slots=True)
class _Asked:
    bench: Bench
    share: float
    draws: int
    deadline: Deadline

    @overload
    def answered(self, by: Tuned, seed: int) -> Sure | NotSure: ...

    @overload
    def answered(self, by: Tuned, seed: int, *, surely: bool) -> Sure | NotSure | None: ...

    def answered(self, by: Tuned, seed: int, *, surely: bool = False) -> Sure | NotSure | None:
        """The cheapest, tried on fresh draws and explained.

        Args:
            by: what the share of lots comes to.
            seed: of the draws.
            surely: whether it is to be left unexplained, as ``None``, where they do not bear it
                out.
        """
        asked = demanded(self.bench, by.known, by.scales)
        started = self.deadline.clock()
        answer = least_anywhere(asked, start=by.strength, deadline=self.deadline)
        spent = self.deadline.clock() - started
        if isinstance(answer.outcome, Optimal):
            made = composed(asked, answer.outcome)
            found = self._tried(made, by.known, seed)
            if surely and not _borne_out(found, self.share):
                return None
        finding = said_of(asked, answer, self.deadline, spent)
        added = by.known.correction
        if isinstance(finding, Refusal):
            return NotSure(self.share, asked, finding, by.scales, added)
        if finding.composition != made:  # as cheap, with its choices made
            found = self._tried(finding.composition, by.known, seed)
        return Sure(self.share, asked, finding, by.scales, added, found)

    def _tried(self, composition: Composition, known: Uncertainty, seed: int) -> Tried:
        return on_fresh_lots(self.bench, composition, known, draws=self.draws, seed=seed)
