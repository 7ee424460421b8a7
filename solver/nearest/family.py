"""Bars that share a base, changed together: one change of base for all, or the fewest that do.

The base is every material that all of them have. What only some have, fragrance, extracts, colour,
stays as it is.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import fsum

from ...constraints.model.brief import Bench, Composition
from ...constraints.rules.rows import rows_of
from ...constraints.values.told import Told
from ..cheapest.cheapest import Refusal
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import ionic_strength
from .distance import Stage
from .forcing import forced_in
from .manner import manner_of
from .nearest import CLOSE
from .one_change import Base, bars_of, one_change
from .shared_base import Shared

MOST_BARS = 8
"""More bars than this and there are too many ways to part them."""


@dataclass(frozen=True, slots=True, repr=False)
class Family(Told):
    """Bars changed together.

    Args:
        shared: the materials that all of them have.
        bases: the changes of base; one where one does for all.
        apart: the same bars, each with a change of its own.
        cut: whether time ran out before it was sure that no fewer bases, or no cheaper, do.
    """

    shared: tuple[str, ...]
    bases: tuple[Base, ...]
    apart: tuple[Base, ...]
    cut: bool = False


@dataclass(frozen=True, slots=True, repr=False)
class NoBase(Told):
    """A bar of the family for which there is no composition at all.

    Args:
        bar: its place among the formulas.
        refusal: what was said of it alone.
    """

    bar: int
    refusal: Refusal


def family(
    bench: Bench,
    formulas: Sequence[Composition],
    order: Sequence[Stage] = CLOSE,
    wanted: Iterable[str] = (),
    *,
    nearly: float = 0.0,
    deadline: Deadline = NEVER,
) -> Family | NoBase:
    """Change several bars: all alike where that can be, else in the fewest ways, the cheapest.

    Args:
        bench: its shelf holds every material of every formula.
        formulas: the bars as they are made today, two or more of them.
        order: what to keep small first.
        wanted: materials that may change though not all bars have them.
        nearly: how much of a bar may differ more so that fewer materials are touched [kg/kg].
        deadline: when to give up; bars not parted by then keep each a change of its own.

    Raises:
        ValueError: for fewer than two bars, more than ``MOST_BARS``, or bars that share nothing.
        CheckFailedError: when an answer breaks a rule by the independent check.
    """
    shared = shared_by(formulas)
    if not 2 <= len(formulas) <= MOST_BARS or not shared:
        message = f"{len(formulas)} bars that share {len(shared)} materials"
        raise ValueError(message)
    wanted = tuple(wanted)
    asked = _Asked(bench, formulas, wanted, order, nearly=nearly, deadline=deadline)
    alone = [asked.base(frozenset({place})) for place in range(len(formulas))]
    for place, found in enumerate(alone):
        if isinstance(found, Refusal):
            return NoBase(place, found)
    apart = tuple(found for found in alone if isinstance(found, Base))
    bases = asked.fewest() or apart
    if nearly > 0 and order[0] is not Stage.COST:
        bases = tuple(asked.with_reasons(base) for base in bases)
    return Family(shared, bases, apart, cut=deadline.passed())


def shared_by(formulas: Sequence[Composition]) -> tuple[str, ...]:
    """Materials that all formulas have, in the order of the first."""
    return tuple(
        name for name in formulas[0].parts if all(name in other.parts for other in formulas)
    )


class _Asked:
    """Bases already asked for, by the bars that are made with them."""

    def __init__(
        self,
        bench: Bench,
        formulas: Sequence[Composition],
        wanted: tuple[str, ...],
        order: Sequence[Stage],
        *,
        nearly: float,
        deadline: Deadline,
    ) -> None:
        self._deadline = deadline
        self._bench, self._formulas, self._order = bench, formulas, order
        self._nearly, self._wanted = nearly, wanted
        every = {name for formula in formulas for name in formula.parts}
        self._fixed = frozenset(every - {*shared_by(formulas), *wanted})
        self._known: dict[frozenset[int], Base | Refusal] = {}

    def base(self, bars: frozenset[int]) -> Base | Refusal:
        if bars not in self._known:
            self._known[bars] = self._asked(tuple(sorted(bars)))
        return self._known[bars]

    def _asked(self, places: tuple[int, ...]) -> Base | Refusal:
        formulas = [self._formulas[place] for place in places]
        found = one_change(
            self._bench,
            formulas,
            self._fixed,
            self._order,
            self._wanted,
            nearly=self._nearly,
            deadline=self._deadline,
        )
        return replace(found, places=places) if isinstance(found, Base) else found

    def with_reasons(self, base: Base) -> Base:
        """With which rules force so many changes, where they are more than few."""
        formulas = [self._formulas[place] for place in base.places]
        manner = manner_of(self._bench, formulas[0], self._wanted)
        most = max(len(bar.touched) for bar in base.bars)
        if most <= manner.few or self._deadline.passed():
            return base
        bars = bars_of(self._bench, formulas, base.scales)
        layout = Shared(self._bench, bars, self._fixed, manner=manner)
        rows = [
            rows_of(self._bench, ionic_strength(self._bench, bar.composition)) for bar in base.bars
        ]
        found = forced_in(self._bench, layout, rows, manner.few, self._deadline)
        return replace(base, forced=found)

    def fewest(self) -> tuple[Base, ...]:
        """The cheapest of the ways to part the bars into the fewest bases."""
        places = tuple(range(len(self._formulas)))
        for count in range(1, len(places) + 1):
            ways = [way for parts in partitions(places, count) if (way := self._way(parts))]
            if ways:
                return min(ways, key=_cost_of_way)
        return ()

    def _way(self, parts: Iterable[frozenset[int]]) -> tuple[Base, ...]:
        bases = []
        for bars in parts:
            found = self.base(bars)
            if isinstance(found, Refusal):
                return ()
            bases.append(found)
        return tuple(bases)


def _cost_of_way(bases: Iterable[Base]) -> float:
    return fsum(bar.cost for base in bases for bar in base.bars)


def partitions(places: tuple[int, ...], count: int) -> Iterator[tuple[frozenset[int], ...]]:
    """The ways to part places into so many groups, none of them empty.

    >>> [[sorted(part) for part in parts] for parts in partitions((0, 1, 2), 2)]
    [[[0], [1, 2]], [[0, 1], [2]], [[0, 2], [1]]]
    """
    if count == 1:
        yield (frozenset(places),)
        return
    if count > len(places):
        return
    first, rest = places[0], places[1:]
    for parts in partitions(rest, count - 1):
        yield (frozenset({first}), *parts)
    for parts in partitions(rest, count):
        for index, part in enumerate(parts):
            others = parts[:index] + parts[index + 1 :]
            yield (part | {first}, *others)
