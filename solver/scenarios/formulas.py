"""Formulas that are held whatever the market does: thousands of them over the same scenarios."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.lots import Flags, Floats
from .question import SLICE, Question
from .summary import QUANTILES
from .warm import shares_of


@dataclass(frozen=True, slots=True)
class HeldFormula:
    """What scenarios do to one formula.

    Args:
        formula: its name.
        costs: quantiles of what it costs where it can be made, as ``QUANTILES`` [money/kg].
        unmade: scenarios in which a material of it cannot be had.
    """

    formula: str
    costs: tuple[float, ...]
    unmade: int


def held_formulas(
    bench: Bench, question: Question, formulas: Iterable[Composition]
) -> tuple[HeldFormula, ...]:
    """What every scenario of a question does to formulas that are held as they are.

    Nothing is solved: each is priced in each scenario, all of them at once.

    Args:
        bench: the shelf.
        question: what is varied.
        formulas: compositions of materials of the shelf.

    Raises:
        KeyError: when the question names a material that is not on the shelf.
    """
    named = tuple(formulas)
    shares = np.array([shares_of(bench, one) for one in named]).reshape(len(named), -1)
    priced, gone = zip(*_slices(bench, question, shares), strict=True)
    costs, unmade = np.concatenate(priced), np.concatenate(gone)
    return tuple(_held(one, costs[:, at], unmade[:, at]) for at, one in enumerate(named))


def _slices(bench: Bench, question: Question, shares: Floats) -> Iterator[tuple[Floats, Flags]]:
    """For each slice of scenarios, what each formula costs and whether it cannot be made."""
    used = (shares > 0.0).astype(np.float64).T
    column = {name: place for place, name in enumerate(bench.material_names)}
    for first in range(0, question.count, SLICE):
        numbers = range(first, min(first + SLICE, question.count))
        prices, missing = question.laid_out(bench, numbers)
        out = np.zeros(prices.shape)
        for row, names in enumerate(missing):
            out[row, [column[name] for name in names]] = 1.0
        yield prices @ shares.T, out @ used > 0.0


def _held(of: Composition, costs: Floats, gone: Flags) -> HeldFormula:
    made = costs[~gone]
    quantiles: Sequence[float] = np.quantile(made, QUANTILES).tolist() if len(made) else ()
    return HeldFormula(of.name, tuple(quantiles), int(gone.sum()))
