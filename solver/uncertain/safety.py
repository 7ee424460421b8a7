"""A composition as sure as was asked, with what that costs and what would make it cheaper."""

from dataclasses import dataclass

from ...constraints.model.brief import Bench
from ...constraints.model.uncertainty import Uncertainty
from ...constraints.rules.holding import holding
from ...constraints.values.told import Told
from ..cheapest.cheapest import least
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Optimal
from .sure import NotSure, Sure, surely
from .worth import Safety, Worth, price_of_safety, worth_of_knowing


@dataclass(frozen=True, slots=True, repr=False)
class Safe(Told):
    """A composition as sure as was asked, and its worth.

    Args:
        sure: the composition.
        plain: what the cheapest costs that keeps the rules for typical lots alone [money/kg].
        worths: materials by what knowing each of them would be worth, most first.
        curve: what more or less safety costs.
    """

    sure: Sure
    plain: float
    worths: tuple[Worth, ...]
    curve: tuple[Safety, ...]


def safely(
    bench: Bench,
    share: float,
    within: Uncertainty | None = None,
    *,
    deadline: Deadline = NEVER,
) -> Safe | NotSure:
    """The cheapest composition that is so sure, what that costs, and which reading would pay.

    Args:
        bench: what was read.
        share: of lots in which each rule is to be kept [1].
        within: the set; without it as for ``surely``.
        deadline: when to give up.

    Raises:
        ValueError: when the share is not between 0 and 1.
        CheckFailedError: when an answer breaks a rule by the independent check.
    """
    sure = surely(bench, share, within, deadline=deadline)
    if isinstance(sure, NotSure):
        return sure
    outcome, _, _ = least(holding(bench, None), deadline=deadline)
    plain = outcome.cost if isinstance(outcome, Optimal) else sure.finding.cost
    return Safe(
        sure,
        plain,
        worth_of_knowing(bench, sure, within, deadline=deadline),
        price_of_safety(bench, within, deadline=deadline),
    )
