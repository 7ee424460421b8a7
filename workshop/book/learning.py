"""What past batches teach: how portions differ, and what a bar loses in drying."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import fsum, sqrt

from ...constraints.model.book import BatchMade, State
from ...constraints.model.brief import Bench


@dataclass(frozen=True, slots=True)
class Habit:
    """How a workshop presses and dries, from the batches of its book.

    Args:
        weighings: as many as there were, about one mean, that differ as bars of one batch do [kg].
        spread: standard deviation of a portion within its batch [kg]; ``None`` where no batch was
            weighed bar by bar.
        drying: water lost before sale, mean over the bars weighed twice [kg/kg], or ``None``.
        driest: the most that one of them lost [kg/kg], or ``None``.
        batches: how many batches were weighed.
        dried: how many bars were weighed twice.
    """

    weighings: tuple[float, ...]
    spread: float | None
    drying: float | None
    driest: float | None
    batches: int
    dried: int


def habit_of(book: Iterable[BatchMade], bench: str | None = None) -> Habit:
    """What the closed batches of a book say, of one bench or of all.

    The spread is pooled: deviations from the mean of their own batch, over as many degrees of
    freedom as there are bars less batches. The weighings are scaled so that their own standard
    deviation is that spread, so that a fill worked out from them rests on it.

    Args:
        book: batches.
        bench: only those of this bench.
    """
    closed = [
        one for one in book if one.state is State.CLOSED and (bench is None or one.bench == bench)
    ]
    groups = [one.pressed for one in closed if len(one.pressed) > 1]
    lost = [1.0 - after / before for one in closed for before, after in _twice(one)]
    return Habit(
        weighings=_about_one_mean(groups),
        spread=_pooled(groups),
        drying=fsum(lost) / len(lost) if lost else None,
        driest=max(lost, default=None),
        batches=len(groups),
        dried=len(lost),
    )


def _twice(batch: BatchMade) -> Iterable[tuple[float, float]]:
    return zip(batch.pressed, batch.dried, strict=False)


def _pooled(groups: Sequence[Sequence[float]]) -> float | None:
    free = sum(len(group) - 1 for group in groups)
    if not free:
        return None
    return sqrt(fsum((one - _mean(group)) ** 2 for group in groups for one in group) / free)


def _about_one_mean(groups: Sequence[Sequence[float]]) -> tuple[float, ...]:
    spread = _pooled(groups)
    bars = sum(map(len, groups))
    if spread is None or bars < 2:
        return ()
    middle = fsum(one for group in groups for one in group) / bars
    apart = [one - _mean(group) for group in groups for one in group]
    own = sqrt(fsum(one * one for one in apart) / (bars - 1))
    scale = spread / own if own else 1.0
    return tuple(middle + scale * one for one in apart)


def _mean(group: Sequence[float]) -> float:
    return fsum(group) / len(group)


def with_habit(bench: Bench, habit: Habit) -> Bench:
    """The bench with the drying that its past bars had; its limits of law stay as they were read.

    The mean is taken, and never less than what the brief says: a bar that dries less than was
    stated is only heavier. Its spread stays that of the brief: that of past bars is only as good
    as their number, which goes with their weighings.
    """
    if habit.drying is None:
        return bench
    portioning = bench.brief.portioning
    drying = max(habit.drying, portioning.drying)
    changed = replace(portioning, drying=drying)
    return replace(bench, brief=replace(bench.brief, portioning=changed))
