"""How far the lots that may come can move what a rule is about, for one composition.

What a rule is about is a quotient of sums over the contents, or a pH, which rises with every base
and falls with every acid: wherever it stands, going along its slope to the end of every range can
only lead further, and where that leads nowhere it is at its extreme. The search asks nothing but
the value of the rule, and shares nothing with the rows that a solver is given.
"""

from collections.abc import Iterator, Sequence

import numpy as np

from ..acidity.ranges import ranges_of
from ..model.lots import Floats, Lots
from ..model.mix import Mix
from ..model.rule import Limited
from ..model.uncertainty import Ranges, Uncertainty, least_in, least_lot

_ROUNDS = 20
# Small against any range, large against what a settled pH is sure to.
_NUDGE = 1e-5
_NO_FURTHER = 1e-10

Lot = tuple[tuple[float, ...], float, float]
"""Contents [kg/kg], residual alkalinity [mol/kg] and price [money/kg]."""


def extreme(rule: Limited, mix: Mix, within: Uncertainty, sense: float) -> tuple[float, Lots]:
    """The least value of a rule over the lots that may come, or the greatest with a sense of −1.

    Args:
        rule: what it is about has a value in every lot.
        mix: the composition.
        within: the lots.
        sense: 1 or −1.

    Returns:
        The value in the unit of the rule, and the one lot of each material that gives it.
    """
    ranges = [ranges_of(within, material, price) for material, price, _ in mix.parts]
    here = [_typical(one) for one in ranges]
    value, slopes = _tangent(rule, mix, here)
    for _ in range(_ROUNDS):
        steps = iter(slopes)
        there = [_furthest(one, steps, sense) for one in ranges]
        if there == here:
            break
        reached, slopes = _tangent(rule, mix, there)
        if not sense * (value - reached) > _NO_FURTHER:
            break
        value, here = reached, there
    return value, _laid_out(mix, [here])


def _typical(one: Ranges) -> Lot:
    return tuple(s.typical for s in one.contents), one.alkalinity.typical, one.price.typical


def _furthest(one: Ranges, slopes: Iterator[float], sense: float) -> Lot:
    weights = [sense * next(slopes) for _ in one.contents]
    base = least_in(one.alkalinity, sense * next(slopes))
    return least_lot(one.contents, weights), base, least_in(one.price, sense * next(slopes))


def _tangent(rule: Limited, mix: Mix, here: Sequence[Lot]) -> tuple[float, list[float]]:
    """The value, and what each figure of a material adds to it, in the order of ``_furthest``."""
    rows = [here, *_nudged(here, _NUDGE), *_nudged(here, -_NUDGE)]
    value, *moved = map(float, rule.value_in(_laid_out(mix, rows)))
    count = len(moved) // 2
    rises = zip(moved[:count], moved[count:], strict=True)
    return value, [0.0 if above == below else (above - below) / _NUDGE for above, below in rises]


def _nudged(here: Sequence[Lot], by: float) -> list[Sequence[Lot]]:
    moved: list[Sequence[Lot]] = []
    for column, (contents, base, price) in enumerate(here):
        lots: list[Lot] = [
            ((*contents[:place], contents[place] + by, *contents[place + 1 :]), base, price)
            for place in range(len(contents))
        ]
        lots += [(contents, base + by, price), (contents, base, price + by)]
        moved += [[*here[:column], lot, *here[column + 1 :]] for lot in lots]
    return moved


def _laid_out(mix: Mix, rows: Sequence[Sequence[Lot]]) -> Lots:
    columns = range(len(mix.parts))
    return Lots(
        mix=mix,
        contents=tuple(np.array([row[column][0] for row in rows]) for column in columns),
        alkalinity=_figures(rows, 1),
        prices=_figures(rows, 2),
    )


def _figures(rows: Sequence[Sequence[Lot]], place: int) -> Floats:
    return np.array([[lot[place] for lot in row] for row in rows], dtype=np.float64)
