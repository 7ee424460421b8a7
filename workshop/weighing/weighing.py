"""Whole scale steps that still keep every rule.

Rounding each weight to its balance by itself breaks rules: a preservative falls below its minimum,
a ratio passes its limit, the batch no longer adds up. Here every weight is a whole number of steps
of the balance it goes on, the batch adds up exactly, and all rules hold for what is really weighed,
nearest to the ideal. Every figure is taken as the decimal it stands for, so that a weight exactly
at a limit keeps it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from ...constraints.model.brief import Balance
from ...constraints.model.mix import TRACE
from ...constraints.model.row import Rows
from ...solver.program.deadline import NEVER, Deadline
from ...solver.program.outcome import Stopped
from .grid import Aim
from .once import A_SEARCH_S, Asked, exact_shares, rules_of, weighed_once, without_weights
from .weight import Unweighable, Weighed, decimal

__all__ = ["A_SEARCH_S", "BIGGER", "weigh"]

_DECADES = (10, 100, 1000)

BIGGER = tuple(
    map(Fraction, ("1.25", "1.5", "2", "3", "4", "5", "6", "8", "10", "20", "50", "100"))
)
"""Multiples of a batch that are tried when no weights of it keep the rules."""


def weigh(
    rows: Rows,
    ideal: Mapping[str, float],
    prices: Mapping[str, float],
    balances: Sequence[Balance],
    batch_kg: float,
    *,
    aim: Aim = Aim.NEAREST,
    bigger: Sequence[float] | None = None,
    leftover: float = 0.0,
    deadline: Deadline = NEVER,
) -> Weighed | Unweighable | Stopped:
    """Turn shares into whole scale steps that keep every rule.

    Each material goes on the finest balance that holds it and that reads so little; a load above
    every capacity is split. Which materials are used does not change.

    Args:
        rows: the rules as rows over shares; choices are fixed by what is used.
        ideal: material -> share [kg/kg]; shares up to ``TRACE`` are left out.
        prices: material -> price [money/kg].
        balances: at least one.
        batch_kg: mass asked for [kg].
        aim: nearest to the ideal and then cheapest, or cheapest and then nearest.
        bigger: batches to try where this one cannot be weighed [kg], ascending; by default the
            multiples ``BIGGER`` of this one.
        leftover: how much more than the batch may be weighed where just so much cannot be [kg/kg].
        deadline: when to give up; no search takes longer than ``A_SEARCH_S``.

    Raises:
        ValueError: without a balance, with nothing to weigh or for a batch of nothing.
        KeyError: when a material has no column or no price.
    """
    if not balances or batch_kg <= 0 or not any(share > TRACE for share in ideal.values()):
        message = "weighing takes a balance, a batch and something in it"
        raise ValueError(message)
    asked = Asked(rows, exact_shares(rows, ideal), prices, batch_kg, leftover, aim, deadline)
    found = weighed_once(asked, balances)
    if not isinstance(found, Unweighable):
        return found
    tries = [batch_kg * float(times) for times in BIGGER] if bigger is None else bigger
    return replace(
        found,
        bigger=_first_weighable(asked, balances, tries),
        clash=() if found.too_little else _clash(asked, balances),
        finer=_finer(asked, balances),
        undone=deadline.passed(),
    )


def _clash(asked: Asked, balances: Sequence[Balance]) -> tuple[str, ...]:
    """Drop rules for as long as there are still no weights; what is left clashes.

    Many at once first, one by one at last: where few rules clash, most go in a few searches.
    """
    rules, dropped = rules_of(asked.rows), frozenset[str]()
    at_once = len(rules) // 2 or 1
    while at_once:
        left = [rule for rule in rules if rule not in dropped]
        for start in range(0, len(left), at_once):
            if asked.deadline.passed():
                break
            fewer = dropped | set(left[start : start + at_once])
            if without_weights(asked, balances, fewer):
                dropped = fewer
        at_once //= 2
    return tuple(rule for rule in rules if rule not in dropped)


def _finer(asked: Asked, balances: Sequence[Balance]) -> tuple[tuple[Balance, ...], ...]:
    """One balance finer by as few decades as do, else all of them."""
    for times in _DECADES:
        if asked.deadline.passed():
            break
        single = tuple(
            (finer,)
            for balance in balances
            for finer in [_finer_by(balance, times)]
            if _would_do(asked, balances, (finer,))
        )
        every = tuple(_finer_by(balance, times) for balance in balances)
        if single or _would_do(asked, balances, every):
            return single or (every,)
    return ()


def _would_do(asked: Asked, balances: Sequence[Balance], finer: Sequence[Balance]) -> bool:
    swap = {balance.name: balance for balance in finer}
    there = [swap.get(balance.name, balance) for balance in balances]
    return isinstance(weighed_once(asked, there), Weighed)


def _finer_by(balance: Balance, times: int) -> Balance:
    step, least = decimal(balance.step) / times, decimal(balance.least) / times
    return replace(balance, step=float(step), least=float(least))


def _first_weighable(
    asked: Asked, balances: Sequence[Balance], batches_kg: Iterable[float]
) -> float | None:
    for batch_kg in batches_kg:
        if asked.deadline.passed():
            break
        if isinstance(weighed_once(replace(asked, batch_kg=batch_kg), balances), Weighed):
            return batch_kg
    return None
