"""The worst lots for a rule: where the set of what may come leaves the least room.

Rows are affine in the contents, the residual alkalinity and the price of each material, and a
share is never below nothing, so the worst lot of a material for a row is the one that makes its
coefficient worst, whatever the composition. Nothing is asked of a rule but its rows, and a kind of
rule that is added is treated like those that are here.
"""

from collections.abc import Iterator, Mapping, Sequence
from math import fsum, isfinite

from ..acidity.constants import constants
from ..acidity.ranges import ranges_of
from ..model.frame import Frame, Same, with_lots
from ..model.material import Material
from ..model.row import Row
from ..model.row import row as new_row
from ..model.rule import Limited, Side
from ..model.uncertainty import (
    Ranges,
    Together,
    Uncertainty,
    least_in,
    least_lot,
)
from .bending import Asked, Bend, all_of, bends, values_of


def worst_rows(
    rule: Limited, side: Side, within: Uncertainty, frame: Frame, ionic_strength: float
) -> tuple[Row, ...]:
    """The rows of one limit of a rule, each at its own worst lots.

    Args:
        rule: the rule.
        side: the limit; its other one is taken away.
        within: the lots for which it must hold.
        frame: the columns.
        ionic_strength: of the dispersion in which pH is read [mol/kg water].

    Raises:
        ValueError: when a row has two sides, so that no one lot is worst for it.
    """
    strengths = _strengths(rule, within, ionic_strength)
    bent = [bends(Asked(rule, side), Same(frame), one) for one in strengths]
    return tuple(
        _either([_worst_row(one, within, frame, lots) for one in same], len(frame.materials))
        for same in zip(*bent, strict=True)
        for lots in _tied_lots(rule, within)
    )


def weights_of(  # noqa: PLR0917
    rule: Limited,
    side: Side,
    within: Uncertainty,
    frame: Frame,
    ionic_strength: float,
    shares: Sequence[float],
) -> Iterator[Together]:
    """What each figure of the tied materials takes from the room of the rows of a limit.

    Args:
        rule: the rule.
        side: the limit.
        within: the lots for which it must hold.
        frame: the columns.
        ionic_strength: of the dispersion in which pH is read [mol/kg water].
        shares: [n] of a composition [kg/kg].

    Yields:
        for each row, and each ionic strength at which it stands.
    """
    for strength in _strengths(rule, within, ionic_strength):
        for one in bends(Asked(rule, side), Same(frame), strength):
            yield {
                frame.materials[column].name: tuple(
                    shares[column] * slope for slope in _in_order(steep, frame.materials[column])
                )
                for column, steep in one.slopes.items()
                if frame.materials[column].name in within.tied and shares[column] > 0.0
            }


def _in_order(steep: Sequence[float], material: Material) -> tuple[float, ...]:
    """Slopes in the order of the figures of a lot."""
    alkaline, _, *by_content = steep
    return (*by_content[: len(material.contents)], alkaline)


def _strengths(rule: Limited, within: Uncertainty, ionic_strength: float) -> list[float]:
    apart = constants().strength_apart * within.scale if rule.dispersed else 0.0
    return sorted({ionic_strength * (1.0 + one) for one in (-apart, 0.0, apart)})


def _tied_lots(rule: Limited, within: Uncertainty) -> tuple[Together, ...]:
    """Lots of tied materials at which rows stand; typical ones as long as no worse are known."""
    return within.worst.get(rule.id) or ({},)


def _worst_row(one: Bend, within: Uncertainty, frame: Frame, together: Together) -> Row:
    """The row at its worst lots: they lie as far out as the ranges are to count.

    Where readings tie materials, these stand at lots that may come together.
    """
    if not one.slopes:
        return one.typical
    if not one.straight and one.relaid is None:
        lots = {
            column: _one_lot(_ranges(within, frame, column), steep, within, together)
            for column, steep in one.slopes.items()
        }
        return one.rule.rows(_at(frame, lots), one.ionic_strength)[one.place]
    values = dict(values_of(one.typical))
    for column, steep in one.slopes.items():
        moved = _moved(one, column, steep, within, frame, together)
        values[column] = values.get(column, 0.0) + moved
    if one.relaid is not None:
        return one.relaid(one.place, values)
    return new_row(one.typical.rule, one.typical.part, values, one.typical.low, one.typical.high)


def _moved(  # noqa: PLR0917
    one: Bend,
    column: int,
    steep: Sequence[float],
    within: Uncertainty,
    frame: Frame,
    together: Together,
) -> float:
    material = frame.materials[column]
    known = material.name in within.known
    scale = 0.0 if known else within.scale
    whole = material.alkalinity is None and not known  # what nobody knows counts whole
    sense = -1.0 if isfinite(one.typical.low) else 1.0
    paid = frame.prices[column] * within.prices.get(material.name, 0.0) * within.scale
    dear = sense * abs(steep[1]) * paid
    if material.name in within.tied:
        figures = _typical_of(all_of(Same(frame))[column])
        there = together.get(material.name, figures)
        slopes = _in_order(steep, material)
        apart = (s * (t - f) for s, t, f in zip(slopes, there, figures, strict=True))
        return -sense * fsum(apart) + dear
    contents, alkaline = one.worst[column]
    inside = 0.0 if material.name in within.certified else scale
    return inside * contents + (1.0 if whole else scale) * alkaline + dear


def _typical_of(ranges: Ranges) -> tuple[float, ...]:
    return (*(span.typical for span in ranges.contents), ranges.alkalinity.typical)


def _one_lot(
    ranges: Ranges, steep: Sequence[float], within: Uncertainty, together: Together
) -> tuple[Material, float]:
    name = ranges.material.name
    if name not in within.tied:
        return _lot(ranges, *steep)
    *contents, alkalinity = together.get(name, _typical_of(ranges))
    return ranges.lot(contents, alkalinity), least_in(ranges.price, steep[1])


def _either(rows: Sequence[Row], shares: int) -> Row:
    """A row that holds only where each of these does, which differ in ionic strength alone.

    No share is below nothing, so that the worst coefficient of each column is worse than any row.
    """
    if len(rows) == 1:
        return rows[0]
    choose = min if isfinite(rows[0].low) else max
    harder = choose(rows, key=lambda one: one.low if isfinite(one.low) else one.high)
    values = dict(values_of(harder))
    for column in {column for one in rows for column in one.columns if column < shares}:
        values[column] = choose(values_of(one).get(column, 0.0) for one in rows)
    return new_row(harder.rule, harder.part, values, harder.low, harder.high)


def _lot(
    ranges: Ranges, alkaline: float, priced: float, *by_content: float
) -> tuple[Material, float]:
    """The lot and the price that make a coefficient least."""
    contents = least_lot(ranges.contents, by_content[: len(ranges.contents)])
    base = least_in(ranges.alkalinity, alkaline)
    return ranges.lot(contents, base), least_in(ranges.price, priced)


def _at(frame: Frame, lots: Mapping[int, tuple[Material, float]]) -> Frame:
    materials, prices = list(frame.materials), list(frame.prices)
    for column, (material, price) in lots.items():
        materials[column], prices[column] = material, price
    return with_lots(frame, tuple(materials), tuple(prices))


def _ranges(within: Uncertainty, frame: Frame, column: int) -> Ranges:
    return ranges_of(within, frame.materials[column], frame.prices[column])
