"""What is varied from scenario to scenario.

A scenario is known by its number: its figures are drawn from a generator seeded with the question's
seed and that number, so that they are the same in whatever order, by whomever they are worked out.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from ...constraints.model.brief import Bench


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


@dataclass(frozen=True, slots=True)
class Question:
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
        names = bench.material_names
        today = dict(zip(names, bench.prices, strict=True))
        return [self._scenario(names, today, number) for number in numbers]

    def _scenario(
        self, names: tuple[str, ...], today: Mapping[str, float], number: int
    ) -> Scenario:
        if not 0 <= number < self.count:
            raise IndexError(number)
        random = np.random.default_rng([self.seed, number])
        drawn = iter(random.random(len(self.prices) + len(self.missing)).tolist())
        noted = self.history[number % len(self.history)] if self.history else {}
        prices = {**today, **noted}
        for name, (low, high) in self.prices.items():
            prices[name] = low + (high - low) * next(drawn)
        out = frozenset(name for name, chance in self.missing.items() if next(drawn) < chance)
        return Scenario(number, tuple(prices[name] for name in names), out)
