"""Bars that share a base, changed together: one change of base for all, or the fewest that do.

The base is every material that all of them have. What only some have, fragrance, extracts, colour,
stays as it is. The first bar becomes z; any other takes the same change, s_b times as much of it as
the first: ``x_b = s_b·z + own_b`` with ``own_b = x_b − s_b·x_1`` of today. Every rule of every bar
is then linear in z, so that one program holds them all, and distances and costs are means over the
bars. Where a material has to go, s_b is how much of it a bar has beside the first; elsewhere 1.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import fsum, inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.rules.rows import rows_of
from ...constraints.values.told import Told
from ..cheapest.cheapest import Refusal, program_of
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import MOST_ROUNDS, at_rest, ionic_strength
from ..program.outcome import Infeasible, Optimal, Outcome, Stopped
from .distance import Stage
from .manner import manner_of
from .nearest import CLOSE, FEW, Near, brings, kept_out, near_of
from .shared_base import Bar, Shared

LIKE = 1e-6
"""Proportions that differ by no more than this are alike."""

MOST_BARS = 8
"""More bars than this and there are too many ways to part them."""


@dataclass(frozen=True, slots=True, repr=False)
class Base(Told):
    """One change of base and the bars that take it.

    Args:
        places: which of the formulas they are.
        scales: how much of the change each takes, the first of them all of it.
        bars: what becomes of each.
    """

    places: tuple[int, ...]
    scales: tuple[float, ...]
    bars: tuple[Near, ...]


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
    bases = asked.fewest()
    return Family(shared, bases or apart, apart, cut=deadline.passed())


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


def one_change(
    bench: Bench,
    formulas: Sequence[Composition],
    fixed: frozenset[str],
    order: Sequence[Stage] = CLOSE,
    wanted: Iterable[str] = (),
    *,
    nearly: float = 0.0,
    deadline: Deadline = NEVER,
) -> Base | Refusal:
    """One change for all of these bars, nearest on the mean of them.

    Args:
        bench: its shelf holds every material of every formula.
        formulas: as they are made today.
        fixed: materials whose shares stay as they are.
        order: what to keep small first.
        wanted: materials that are asked to come in: others come in last where changes are few.
        nearly: how much of a bar may differ more so that fewer materials are touched [kg/kg].
        deadline: when to give up.
    """
    scales = scales_of(bench, formulas)
    if scales is None:
        rows = rows_of(bench)
        return Refusal(Infeasible(), program_of(rows, bench.prices), rows)
    bars = tuple(
        Bar.of(bench, formula, formulas[0], scale)
        for formula, scale in zip(formulas, scales, strict=True)
    )
    if nearly > 0 and order[0] is not Stage.COST:
        manner = manner_of(bench, formulas[0], wanted)
        for shut in (manner.strangers, frozenset[str]()) if manner.strangers else (frozenset(),):
            few = Shared(bench, bars, fixed | shut, nearly=nearly, manner=manner)
            found = _settled(bench, few, bars, FEW, deadline)
            if isinstance(found, Base) and (not shut or _does(found, wanted, manner.few)):
                return found
        if isinstance(found, Base) or not isinstance(found.outcome, Infeasible):
            return found
        found = _settled(bench, Shared(bench, bars, fixed, nearly=nearly), bars, FEW, deadline)
        return found if isinstance(found, Refusal) else _not_sensible(found)
    return _settled(bench, Shared(bench, bars, fixed, nearly=nearly), bars, order, deadline)


def _does(base: Base, wanted: Iterable[str], few: int) -> bool:
    """Whether something that was asked to come in does in every bar, with few changes."""
    return all(brings(bar, wanted, few) for bar in base.bars)


def _not_sensible(base: Base) -> Base:
    """The rules leave nothing that a formulator would call sensible: that is said, not hidden."""
    return replace(base, bars=tuple(replace(bar, sensible=False) for bar in base.bars))


def _settled(
    bench: Bench,
    layout: "Shared",
    bars: Sequence["Bar"],
    order: Sequence[Stage],
    deadline: Deadline,
) -> Base | Refusal:
    """Ask until the ionic strength of every bar is the one assumed of it."""
    strengths = [ionic_strength(bench, bar.formula) for bar in bars]
    last: Optimal | None = None
    for _ in range(MOST_ROUNDS):
        rows = [rows_of(bench, strength) for strength in strengths]
        program = layout.shared_program(rows)
        # another round moves the rows by a hair: the materials touched stand while they can
        again = layout.again(program, last, order) if last and order is FEW else None
        outcome = again or layout.staged(program, order, deadline)
        if not isinstance(outcome, Optimal):
            return Refusal(_ended(outcome), layout.rules_alone(rows[0]), rows[0])
        last = outcome
        made = layout.made(layout.settle(program, outcome, order))
        found = [ionic_strength(bench, one) for one in made]
        if all(at_rest(a, b) for a, b in zip(found, strengths, strict=True)):
            near = [near_of(bench, bar.formula, one) for bar, one in zip(bars, made, strict=True)]
            return Base((), tuple(bar.scale for bar in bars), tuple(near))
        strengths = found
    unsettled = Stopped("the ionic strengths did not come to rest")
    return Refusal(unsettled, layout.rules_alone(rows[0]), rows[0])


def _ended(outcome: Outcome) -> Infeasible | Stopped:
    return outcome if isinstance(outcome, Infeasible | Stopped) else Stopped("it falls without end")


def scales_of(bench: Bench, formulas: Sequence[Composition]) -> tuple[float, ...] | None:
    """How much of the change each bar takes; ``None`` where no one change can serve them all.

    What has to go goes from all bars with one change only where they hold it in like proportion.
    """
    outs = sorted(kept_out(bench))
    going = [name for name in outs if any(formula.parts.get(name) for formula in formulas)]
    scales = []
    for formula in formulas:
        ratios = [_ratio(formulas[0], formula, name) for name in going] or [1.0]
        if max(ratios) - min(ratios) > LIKE or not 0 < min(ratios) < inf:
            return None
        scales.append(ratios[0])
    return tuple(scales)


def _ratio(first: Composition, other: Composition, name: str) -> float:
    share = first.parts.get(name, 0.0)
    return other.parts.get(name, 0.0) / share if share else inf
