"""What is varied from scenario to scenario.

A scenario is known by its number: its figures are drawn from a generator seeded with the question's
seed and the number of the slice it is in, so that they are the same in whatever order, by whomever
they are worked out.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from ...constraints.model.brief import Bench
from ...constraints.model.lots import Floats
from ...constraints.values.told import Told

SLICE = 500
"""Scenarios whose figures come from one generator: to seed one takes longer than to draw."""


@lru_cache(maxsize=4)
def _drawn(seed: int, number: int, width: int) -> Floats:
    """[SLICE, width] between 0 and 1."""
    return np.random.default_rng([seed, number]).random((SLICE, width))


@dataclass(frozen=True, slots=True)
class Scenario:
    """One state of the market.

    Args:
        number: from 0.
        prices: [n] of every material, in shelf order [money/kg].
        missing: materials that cannot be had.
    """

    number: int
    prices: tuple[float, ...]
    missing: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, repr=False)
class Question(Told):
    """Scenarios to be worked out.

    Args:
        count: how many.
        prices: material -> lowest and highest price, any between alike likely [money/kg].
        history: states of the market that were noted, each material -> price [money/kg]; taken in
            turn, before anything that is drawn. A material that is not named keeps its price.
        missing: material -> how likely it cannot be had [1].
        seed: of what is drawn.
    """

    count: int
    prices: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    history: tuple[Mapping[str, float], ...] = ()
    missing: Mapping[str, float] = field(default_factory=dict)
    seed: int = 1

    def scenario(self, bench: Bench, number: int) -> Scenario:
        """The scenario of a number.

        Raises:
            IndexError: when there is none.
        """
        return self.scenarios(bench, range(number, number + 1))[0]

    def scenarios(self, bench: Bench, numbers: range) -> list[Scenario]:
        """The scenarios of some numbers.

        Raises:
            IndexError: when there is none of one of them.
        """
        prices, missing = self.laid_out(bench, numbers)
        each = zip(numbers, prices.tolist(), missing, strict=True)
        return [Scenario(number, tuple(row), out) for number, row, out in each]

    def laid_out(self, bench: Bench, numbers: range) -> tuple[Floats, tuple[frozenset[str], ...]]:
        """The scenarios of some numbers side by side: prices [N, n], and what cannot be had.

        Raises:
            IndexError: when there is none of one of them.
        """
        if numbers and not 0 <= numbers[0] <= numbers[-1] < self.count:
            raise IndexError(numbers[-1])
        column = {name: place for place, name in enumerate(bench.material_names)}
        prices = np.tile(np.array(bench.prices), (len(numbers), 1))
        for row, number in enumerate(numbers if self.history else ()):
            for name, price in self.history[number % len(self.history)].items():
                prices[row, column[name]] = price
        width = len(self.prices) + len(self.missing)
        drawn = np.array([_drawn(self.seed, one // SLICE, width)[one % SLICE] for one in numbers])
        drawn = drawn.reshape(len(numbers), width)
        for place, (name, (low, high)) in enumerate(self.prices.items()):
            prices[:, column[name]] = low + (high - low) * drawn[:, place]
        gone = drawn[:, len(self.prices) :] < np.array(list(self.missing.values()))
        names = tuple(self.missing)
        missing = tuple(
            frozenset(name for name, out in zip(names, row, strict=True) if out)
            for row in gone.tolist()
        )
        return prices, missing
