"""How far a composition is from another, as columns and rows of a program.

What is something else than before is half the sum of absolute differences over the parts of a
whole: both bars add to one. By class, the differences are weighed before they are added up, as
``constraints.likeness`` says, so that a distance is more than a share there.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from math import fsum, inf

from ...constraints.market.practice import figure
from ...constraints.market.similarity import (
    function_of,
    functions,
    group_of,
    kind_of,
    matched,
    weight_of,
)
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import Frame
from ...constraints.model.material import Material
from ...constraints.model.row import Row
from ...constraints.model.substance import Substance
from ...constraints.values.units import Dimension


class Stage(StrEnum):
    """What a change is kept small in.

    ``CLASS`` is what the bar contains by function, ``KIND`` by kind within a function and by groups
    that stand in for each other, ``SUBSTANCE`` by substance, ``TOUCHED`` the number of materials
    whose share changes, each by the trouble it makes, ``COUNT`` that number as it is, ``COST`` the
    price of the mix; ``LIKE`` is the three distances in one, each a small part of the one before.
    """

    COUNT = "materials"

    CLASS = "class"
    KIND = "kind"
    SUBSTANCE = "substance"
    TOUCHED = "touched"
    COST = "cost"
    LIKE = "like"


TOUCHED = 1e-6
"""A share that moves by no more than this is not touched [kg/kg]: a gram in a tonne."""

DISTANCES = (Stage.CLASS, Stage.KIND, Stage.SUBSTANCE)


@cache
def as_one() -> Mapping[Stage, float]:
    """What each distance counts for in one of them all: which materials to touch is settled by it.

    Out of ``practice.toml``, as ``kind beside class`` and ``substance beside class``.
    """
    beside = {stage: figure(f"{stage} beside class", Dimension.RATIO) for stage in DISTANCES[1:]}
    return {Stage.CLASS: 1.0, **{stage: one.span.typical for stage, one in beside.items()}}


Counting = Callable[[Substance], str]

COUNTINGS: Mapping[Stage, tuple[Counting, ...]] = {
    Stage.CLASS: (function_of,),
    Stage.KIND: (kind_of, group_of),
    Stage.SUBSTANCE: (lambda substance: substance.inci,),
}


@dataclass(frozen=True, slots=True)
class Gap:
    """One part of the whole whose difference counts.

    Args:
        stage: the distance it belongs to.
        shares: share column -> mass of it in a kilogram of the material [kg/kg].
        target: what the bar it is compared with has of it [kg/kg].
        weight: what a kilogram of difference counts for.
        costs: whether more of it, and less of it, is a difference where few changes come first.
    """

    stage: Stage
    shares: Mapping[int, float]
    target: float
    weight: float
    costs: tuple[bool, bool] = (True, True)


def gaps(
    bench: Bench, frame: Frame, formula: Composition, stages: Iterable[Stage] = DISTANCES
) -> tuple[Gap, ...]:
    """Every difference that counts between a composition of the shelf and a formula."""
    return tuple(
        gap
        for stage in stages
        for counting in COUNTINGS[stage]
        for gap in _gaps(bench, frame, formula, stage, counting)
    )


def _gaps(
    bench: Bench, frame: Frame, formula: Composition, stage: Stage, counting: Counting
) -> Iterator[Gap]:
    told = _told(bench)
    amounts = [_amounts(bench, material, stage, counting, told) for material in frame.materials]
    of = [(counting(one), matched(one)) for one in bench.substances.values()]
    falling = {word for word, function in of if function is not None and function.may_fall}
    rising = {word for word, function in of if function is not None and function.may_rise}
    for word in dict.fromkeys(word for held in amounts for word in held):
        shares = {column: held[word] for column, held in enumerate(amounts) if held.get(word)}
        target = fsum(
            shares.get(frame.index[name], 0.0) * share for name, share in formula.parts.items()
        )
        costs = (word not in rising, word not in falling)
        yield Gap(stage, shares, target, _weight(stage, word), costs)


def gap_row(gap: Gap, over: int, scale: float = 1.0, target: float | None = None) -> Row:
    """Mass of the part, less what is over and plus what is under, is what it was.

    Args:
        gap: the difference.
        over: its column for what is over; the one for what is under comes next.
        scale: what the shares are multiplied by.
        target: what to compare with, where it is not that of the gap.
    """
    held = {column: scale * value for column, value in gap.shares.items() if value}
    columns = (*sorted(held), over, over + 1)
    values = (*(held[column] for column in sorted(held)), -1.0, 1.0)
    aim = gap.target if target is None else target
    return Row("", gap.stage, columns, values, aim, aim)


def touched_rows(column: int, share: float, switch: int, most: float = 1.0) -> tuple[Row, ...]:
    """A share that moves by more than ``TOUCHED`` turns the switch on; it is at most so much."""
    values = (1.0, -(max(most, share) - share))
    above = Row("", Stage.TOUCHED, (column, switch), values, -inf, share + TOUCHED)
    if share <= TOUCHED:
        return (above,)
    below = Row("", Stage.TOUCHED, (column, switch), (1.0, share), share - TOUCHED, inf)
    return above, below


def distance(bench: Bench, before: Composition, after: Composition, stage: Stage) -> float:
    """How far two compositions are from each other at one stage, weighed [kg/kg].

    Where a stage counts in two ways, their distances are added up.

    Raises:
        KeyError: for a stage that is no distance.
    """
    return fsum(
        0.5 * _weight(stage, word) * abs(by)
        for counting in COUNTINGS[stage]
        for word, by in _differences(bench, before, after, (stage, counting))
    )


def changed(bench: Bench, before: Composition, after: Composition, stage: Stage) -> float:
    """Share of the bar that is something else than before, by the first way of counting [kg/kg]."""
    differences = _differences(bench, before, after, (None, COUNTINGS[stage][0]))
    return 0.5 * fsum(abs(by) for _, by in differences)


def counted(bench: Bench, composition: Composition, stage: Stage) -> Mapping[str, float]:
    """Mass of each class, kind or substance in a kilogram of mix [kg/kg]."""
    return _counted(bench, composition, None, COUNTINGS[stage][0])


def _counted(
    bench: Bench, composition: Composition, stage: Stage | None, counting: Counting
) -> dict[str, float]:
    found: dict[str, list[float]] = {}
    told = _told(bench)
    for name, share in composition.parts.items():
        for word, amount in _amounts(bench, bench.material(name), stage, counting, told).items():
            found.setdefault(word, []).append(amount * share)
    return {word: fsum(masses) for word, masses in found.items()}


def _amounts(
    bench: Bench,
    material: Material,
    stage: Stage | None,
    counting: Counting,
    told: Mapping[str, Mapping[str, float]],
) -> dict[str, float]:
    """What a kilogram of a material counts for, by word [kg/kg]; by class, at its strength.

    A mixture of chains counts as its single substances, so that it may be had from them too; one
    that does not tell of its chains, as the first on the shelf that does.
    """
    found: dict[str, float] = {}
    for inci, amount in material.by_chain(told):
        there = bench.substances.get(inci)
        word = counting(there or bench.stores.substance(inci))
        found[word] = found.get(word, 0.0) + amount
    if stage is Stage.CLASS and material.strength is not None:
        for function in functions():
            if function.by_effect and function.name in found:
                found[function.name] = material.strength
    return found


def _told(bench: Bench) -> Mapping[str, Mapping[str, float]]:
    """What the mixtures of a shelf are made up of, where any material on it says."""
    told: dict[str, Mapping[str, float]] = {}
    for item in bench.shelf:
        for mixture, chains in item.material.chains.items():
            told.setdefault(mixture, chains)
    return told


def _differences(
    bench: Bench,
    before: Composition,
    after: Composition,
    by: tuple[Stage | None, Counting],
) -> Iterator[tuple[str, float]]:
    was, now = (_counted(bench, one, *by) for one in (before, after))
    for word in dict.fromkeys((*was, *now)):
        yield word, now.get(word, 0.0) - was.get(word, 0.0)


def _weight(stage: Stage, word: str) -> float:
    return weight_of(word) if stage is Stage.CLASS else 1.0
