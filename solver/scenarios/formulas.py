"""Formulas that are held whatever the market does: thousands of them over the same scenarios."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.lots import Flags, Floats
from .quantiles import quantiles_of
from .question import SLICE, Question
from .standing import Market, broken
from .warm import laid_missing, shares_of


@dataclass(frozen=True, slots=True)
class HeldFormula:
    """What scenarios do to one formula.

    Args:
        formula: its name.
        costs: quantiles of what it costs where it can be made, as ``QUANTILES`` [money/kg].
        unmade: scenarios in which a material of it cannot be had.
        breaks: scenarios in which it can be made and breaks a rule.
    """

    formula: str
    costs: tuple[float, ...]
    unmade: int
    breaks: int


def held_formulas(
    bench: Bench, question: Question, formulas: Iterable[Composition]
) -> tuple[HeldFormula, ...]:
    """What every scenario of a question does to formulas that are held as they are.

    Nothing is solved: each is priced and judged in each scenario, all of them at once.

    Args:
        bench: the shelf.
        question: what is varied.
        formulas: compositions of materials of the shelf.

    Raises:
        KeyError: when the question names a material that is not on the shelf.
    """
    named = tuple(formulas)
    shares = np.array([shares_of(bench, one) for one in named]).reshape(len(named), -1)
    found = zip(*_slices(bench, question, named, shares), strict=True)
    costs, unmade, breaks = map(np.concatenate, found)
    return tuple(
        _held(one, costs[:, at], unmade[:, at], breaks[:, at]) for at, one in enumerate(named)
    )


def _slices(
    bench: Bench, question: Question, named: Sequence[Composition], shares: Floats
) -> Iterator[tuple[Floats, Flags, Flags]]:
    """For each slice of scenarios, each formula's cost, whether it is unmade, and breaks a rule."""
    alike = not question.changes_rows and not any(rule.priced for rule in bench.brief.rules)
    used = (shares > 0.0).astype(np.float64).T
    for first in range(0, question.count, SLICE):
        numbers = range(first, min(first + SLICE, question.count))
        market = Market.of(bench, question, numbers)
        out = laid_missing(bench.material_names, market.missing)
        if not alike or not first:  # else what one slice says of the rules, every other says
            breaks = [broken(bench, one, question, market).any(axis=1) for one in named]
        yield market.prices @ shares.T, out @ used > 0.0, np.array(breaks).T[: len(numbers)]


def _held(of: Composition, costs: Floats, gone: Flags, breaks: Flags) -> HeldFormula:
    made = quantiles_of(np.where(gone, np.nan, costs))
    return HeldFormula(of.name, made, int(gone.sum()), int((breaks & ~gone).sum()))
