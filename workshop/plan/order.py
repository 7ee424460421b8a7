"""Batches in an order that the stock allows: first those that need nothing that has yet to come."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.values.told import Told
from .bought import NOTHING, Bought, Origin


@dataclass(frozen=True, slots=True, repr=False)
class Planned(Told):
    """A batch of a plan.

    Args:
        bench: its bench.
        composition: of its mix.
        week: in which it is made.
        bars: how many.
        fill: mass to press a bar [kg].
        mix: in all [kg].
        parts: material -> mass [kg].
        waits_for: materials of this week's orders without which it cannot be made.
        drawn: (material, lot or empty where it is bought, mass [kg]) as it is taken from stock.
    """

    bench: Bench
    composition: Composition
    week: int
    bars: int
    fill: float
    mix: float
    parts: Mapping[str, float]
    waits_for: tuple[str, ...] = ()
    drawn: tuple[tuple[str, str, float], ...] = ()


def in_order(batches: Sequence[Planned], bought: Bought) -> tuple[Planned, ...]:
    """Week by week; within a week those that the stock at its beginning does for come first."""
    ordered = [
        one
        for week in sorted({batch.week for batch in batches})
        for one in _of_a_week([b for b in batches if b.week == week], bought, week)
    ]
    return tuple(_drawing(ordered, bought))


def _of_a_week(batches: list[Planned], bought: Bought, week: int) -> Iterator[Planned]:
    there: defaultdict[str, float] = defaultdict(float)
    for drawn in bought.drawn:
        if drawn.week == week and drawn.source.arrives < week:
            there[drawn.source.material] += drawn.mass
    waiting = list(batches)
    while waiting:
        ready = next((one for one in waiting if not _lacks(one, there)), None)
        if ready is None:
            break
        waiting.remove(ready)
        for name, mass in ready.parts.items():
            there[name] -= mass
        yield ready
    for one in waiting:
        yield replace(one, waits_for=_lacks(one, there))


def _lacks(batch: Planned, there: Mapping[str, float]) -> tuple[str, ...]:
    return tuple(
        name for name, mass in batch.parts.items() if mass > there.get(name, 0.0) + 10 * NOTHING
    )


@dataclass(slots=True)
class _Heap:
    """What is drawn from a source in a week and not yet given to a batch [kg]."""

    source: Origin
    rest: float


def _drawing(batches: Sequence[Planned], bought: Bought) -> Iterator[Planned]:
    """Each batch with the lots it takes; what is good for the least time first."""
    heaps: defaultdict[int, list[_Heap]] = defaultdict(list)
    for one in sorted(bought.drawn, key=lambda each: _first_out(each.source)):
        heaps[one.week].append(_Heap(one.source, one.mass))
    for batch in batches:
        held = heaps[batch.week]
        taken = (each for name, mass in batch.parts.items() for each in _taken(held, name, mass))
        yield replace(batch, drawn=tuple(taken))


def _taken(held: Sequence[_Heap], name: str, mass: float) -> Iterator[tuple[str, str, float]]:
    for heap in held:
        some = min(heap.rest, mass) if heap.source.material == name else 0.0
        if some > NOTHING:
            heap.rest -= some
            mass -= some
            yield name, heap.source.lot, some


def _first_out(source: Origin) -> tuple[float, int]:
    return (inf if source.last is None else source.last), source.arrives
