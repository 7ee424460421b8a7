"""How a formulator changes a bar: few materials, in amounts that can be weighed, within advice.

What is dosed in small amounts is left alone, acids and bases move first, nothing goes beyond what
its suppliers advise, and the bar is not padded with water.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf

from ...constraints.market.practice import figure
from ...constraints.market.similarity import Function, matched
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.material import Material
from ...constraints.model.row import Row
from ...constraints.values.units import Dimension
from .distance import TOUCHED, Stage

MEANS = frozenset({"water", "solvent"})
"""Functions that only carry the others: what holds nothing else is not filled up with."""


@dataclass(frozen=True, slots=True)
class Manner:
    """What keeps the changes of a formula few and sensible.

    Args:
        trouble: [n] what it counts for when a material is touched, in shelf order.
        slight: the part of it that a change too small to weigh adds.
        few: so many materials may be touched while the rules leave room for that.
        least: [n] the least change that is worth weighing [kg/kg].
        within: material -> the least and the largest share that it may have [kg/kg].
        strangers: what would come in uncalled for, where something else was asked to come in.
    """

    trouble: tuple[float, ...]
    slight: float
    few: int
    least: tuple[float, ...]
    within: Mapping[str, tuple[float, float]]
    strangers: frozenset[str] = frozenset()


def manner_of(bench: Bench, formula: Composition, wanted: Iterable[str] = ()) -> Manner:
    """How a formula of a bench is changed sensibly.

    Args:
        bench: its shelf holds every material of the formula.
        formula: shares today [kg/kg].
        wanted: what is asked to come in; with any, everything else comes in last.
    """
    asked = frozenset(wanted)
    materials = tuple(item.material for item in bench.shelf)
    mains = {material.name: _main(bench, material) for material in materials}
    worth = figure("least share", Dimension.SHARE).span.typical
    shares = {name: formula.parts.get(name, 0.0) for name in mains}
    uncalled = (name for name in mains if name not in asked and not shares[name])
    strangers = frozenset(uncalled if asked else ())
    return Manner(
        trouble=tuple(_trouble(main, late=name in strangers) for name, main in mains.items()),
        slight=_counts("trouble of a trace"),
        few=round(_counts("few materials")),
        least=tuple(_least(one, mains[one.name], shares[one.name], worth) for one in materials),
        within={
            one.name: (0.0, most)
            for one in materials
            if (most := _most(one, mains[one.name], shares[one.name])) < inf
        },
        strangers=frozenset(
            name for name in strangers if (main := mains[name]) is None or not main.moves_first
        ),
    )


def _counts(name: str) -> float:
    return figure(name, Dimension.RATIO).span.typical


def _main(bench: Bench, material: Material) -> Function | None:
    """What a material is bought for: its functions but for what carries them, the most of it."""
    held: dict[str, float] = {}
    known: dict[str, Function] = {}
    for inci, amount in material.typical_contents():
        function = matched(bench.substances[inci])
        if function is not None and function.name not in MEANS:
            known[function.name] = function
            held[function.name] = held.get(function.name, 0.0) + amount * function.weight
    return known[max(held, key=lambda name: held[name])] if held else None


def _trouble(main: Function | None, *, late: bool) -> float:
    if main is not None and main.moves_first:
        return _counts("trouble of what sets the pH")
    stranger = _counts("trouble of a stranger") if late else 1.0
    return max(stranger, 1.0 if main is None else main.weight)


def _least(material: Material, main: Function | None, share: float, worth: float) -> float:
    """Of what comes in and works at a small dose that dose, else what is worth weighing."""
    if share <= TOUCHED and main is not None and main.weight > 1 and material.dose is not None:
        return max(worth, material.dose[0])
    return worth


def _most(material: Material, main: Function | None, share: float) -> float:
    """As much as is advised, or as there is already; of water what there is."""
    if main is None and set(material.classes) & MEANS:
        return share
    return inf if material.dose is None else max(share, material.dose[1])


def weighed_rows(
    column: int, ends: tuple[float, float], least: float, switches: tuple[int, int, int]
) -> tuple[Row, ...]:
    """What moves, moves by the least change or more; less only of what is there, as slight.

    Args:
        column: the share column.
        ends: what there is of it, and the most there may be [kg/kg].
        least: the least change [kg/kg].
        switches: the columns that say touched, slight, and upward.
    """
    touched, slight, upward = switches
    share, most = ends
    if share <= TOUCHED:
        return (_row({column: 1.0, touched: -least}, 0.0),)
    down = min(least, share)
    falls, rises = share + least, most - share + down
    up = {column: 1.0, touched: -least, slight: least, upward: -falls}
    below = {column: -1.0, touched: -down, slight: down, upward: rises}
    return _row(up, share - falls), _row(below, -share)


def _row(values: Mapping[int, float], low: float) -> Row:
    columns = sorted(values)
    return Row("", Stage.TOUCHED, tuple(columns), tuple(values[c] for c in columns), low, inf)
