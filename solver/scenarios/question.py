"""What is varied from scenario to scenario.

A scenario is known by its number: its figures are drawn from generators seeded with the question's
seed and the number of the slice it is in, so that they are the same in whatever order, by whomever
they are worked out.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from math import prod

import numpy as np

from ...constraints.model.brief import Bench
from ...constraints.model.frame import Same
from ...constraints.model.lots import Floats
from ...constraints.model.uncertainty import Uncertainty
from ...constraints.values.told import Told
from ..uncertain.draws import lots_of
from .moved_limit import MovedLimit
from .scenario import Scenario

SLICE = 500
"""Scenarios whose figures come from one generator: to seed one takes longer than to draw."""

_OF_LOTS = 2**31
"""Parts the seeds of lots from those of prices, which no number of a slice comes near."""


@lru_cache(maxsize=4)
def _drawn(seed: int, number: int, width: int) -> Floats:
    """[SLICE, width] between 0 and 1."""
    return np.random.default_rng([seed, number]).random((SLICE, width))


@dataclass(frozen=True, slots=True, repr=False)
class Question(Told):
    """Scenarios to be worked out.

    What is taken in turn, states of the market and lists of places, goes through all combinations.

    Args:
        count: how many.
        prices: material -> lowest and highest price, any between alike likely [money/kg].
        history: states of the market that were noted, each material -> price [money/kg]; taken in
            turn, before anything that is drawn. A material that is not named keeps its price.
        missing: material -> how likely it cannot be had [1].
        seed: of what is drawn.
        limits: limits of rules that stand elsewhere.
        lots: materials of which another lot comes each time; typical ones of the others do.
        within: the set that lots come from.
    """

    count: int
    prices: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    history: tuple[Mapping[str, float], ...] = ()
    missing: Mapping[str, float] = field(default_factory=dict)
    seed: int = 1
    limits: tuple[MovedLimit, ...] = ()
    lots: tuple[str, ...] = ()
    within: Uncertainty = field(default_factory=Uncertainty)

    @property
    def changes_rows(self) -> bool:
        """Whether more than costs and bounds differ from scenario to scenario."""
        return bool(self.limits or self.lots)

    @property
    def in_turn(self) -> int:
        """Scenarios in which all that is taken in turn has been combined with all else."""
        lists = (len(limit.places) for limit in self.limits if not limit.drawn)
        return prod(lists, start=max(1, len(self.history)))

    @property
    def draws(self) -> bool:
        """Whether anything is drawn."""
        return bool(self.prices or self.missing or self.lots or any(x.drawn for x in self.limits))

    def asked(self, count: int) -> "Question":
        """The same of so many scenarios."""
        return replace(self, count=count)

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
        limits, lots = self.limits_laid(numbers), self.lots_laid(bench, numbers)
        return [
            Scenario(
                number,
                tuple(row),
                out,
                {name: tuple(figures[place].tolist()) for name, figures in lots.items()},
                tuple(zip(self.limits, limits[place].tolist(), strict=True)),
            )
            for place, (number, row, out) in enumerate(
                zip(numbers, prices.tolist(), missing, strict=True)
            )
        ]

    def laid_out(self, bench: Bench, numbers: range) -> tuple[Floats, tuple[frozenset[str], ...]]:
        """The scenarios of some numbers side by side: prices [N, n], and what cannot be had.

        Raises:
            IndexError: when there is none of one of them.
        """
        drawn = self._uniform(numbers)
        column = {name: place for place, name in enumerate(bench.material_names)}
        prices = np.tile(np.array(bench.prices), (len(numbers), 1))
        for row, number in enumerate(numbers if self.history else ()):
            for name, price in self.history[number % len(self.history)].items():
                prices[row, column[name]] = price
        for place, (name, (low, high)) in enumerate(self.prices.items()):
            prices[:, column[name]] = low + (high - low) * drawn[:, place]
        chances = drawn[:, len(self.prices) : len(self.prices) + len(self.missing)]
        gone = chances < np.array(list(self.missing.values()))
        names = tuple(self.missing)
        missing = tuple(
            frozenset(name for name, out in zip(names, row, strict=True) if out)
            for row in gone.tolist()
        )
        return prices, missing

    def limits_laid(self, numbers: range) -> Floats:
        """Where the limits that are moved stand in some scenarios: [N, L].

        Raises:
            IndexError: when there is none of one of them.
        """
        drawn = self._uniform(numbers)[:, len(self.prices) + len(self.missing) :]
        places = np.empty((len(numbers), len(self.limits)))
        before = max(1, len(self.history))
        for column, limit in enumerate(self.limits):
            each = zip(numbers, drawn[:, column].tolist(), strict=True)
            places[:, column] = [limit.at(along, number // before) for number, along in each]
            before *= 1 if limit.drawn else len(limit.places)
        return places

    def lots_laid(self, bench: Bench, numbers: range) -> Mapping[str, Floats]:
        """The lots that come in some scenarios: material -> [N, its figures].

        Raises:
            IndexError: when there is none of one of them.
            ValueError: when next to no lots go with what was read.
        """
        self._refuse_beyond(numbers)
        if not self.lots or not numbers:
            return {}
        first, last = numbers[0] // SLICE, numbers[-1] // SLICE
        slices = [_lots(Same(bench), Same(self), one) for one in range(first, last + 1)]
        rows = [(one // SLICE - first, one % SLICE) for one in numbers]
        return {name: np.array([slices[at][name][row] for at, row in rows]) for name in self.lots}

    def _uniform(self, numbers: range) -> Floats:
        """[N, what is drawn] between 0 and 1."""
        self._refuse_beyond(numbers)
        width = len(self.prices) + len(self.missing) + len(self.limits)
        drawn = np.array([_drawn(self.seed, one // SLICE, width)[one % SLICE] for one in numbers])
        return drawn.reshape(len(numbers), width)

    def _refuse_beyond(self, numbers: range) -> None:
        if numbers and not 0 <= numbers[0] <= numbers[-1] < self.count:
            raise IndexError(numbers[-1])


@lru_cache(maxsize=2)
def _lots(bench: Same[Bench], question: Same[Question], number: int) -> Mapping[str, Floats]:
    """A slice of lots, [SLICE, figures] of each; where few go with what was read, some again."""
    asked = question.thing
    seeds = (asked.seed, _OF_LOTS, number)
    found = lots_of(bench.thing, asked.lots, asked.within, seeds, count=SLICE)
    if not all(len(one) for one in found.values()):
        raise ValueError("no lots that were drawn go with what was read")
    return {name: np.resize(one, (SLICE, one.shape[1])) for name, one in found.items()}
