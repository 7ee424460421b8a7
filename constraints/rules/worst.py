"""The worst lots for a rule: where the set of what may come leaves the least room.

Rows are affine in the contents, the residual alkalinity and the price of each material, and a
share is never below nothing, so the worst lot of a material for a row is the one that makes its
coefficient worst, whatever the composition. Nothing is asked of a rule but its rows, and a kind of
rule that is added is treated like those that are here.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from math import isfinite

from ..acidity.ranges import ranges_of
from ..model.frame import Frame, Same, with_lots
from ..model.material import Material
from ..model.row import Row
from ..model.row import row as new_row
from ..model.rule import Limited, Side
from ..model.uncertainty import STRENGTH_APART, Ranges, Uncertainty, least_in, least_lot


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
    return _worst(Same(rule), side, Same(within), Same(frame), ionic_strength)


def _worst_row(
    rule: Limited, place: int, frame: Frame, ionic_strength: float, ranges: tuple[Ranges, ...]
) -> Row:
    typical = rule.rows(frame, ionic_strength)[place]
    probed = [rule.rows(one, ionic_strength)[place] for one in _probed(Same(frame))]
    lots = _lots(typical, probed, ranges)
    return rule.rows(_at(frame, lots), ionic_strength)[place] if lots else typical


def _either(rows: Sequence[Row], shares: int) -> Row:
    """A row that holds only where each of these does, which differ in ionic strength alone.

    No share is below nothing, so that the worst coefficient of each column is worse than any row.
    """
    if len(rows) == 1:
        return rows[0]
    choose = min if isfinite(rows[0].low) else max
    harder = choose(rows, key=lambda one: one.low if isfinite(one.low) else one.high)
    values = dict(_values(harder))
    for column in {column for one in rows for column in one.columns if column < shares}:
        values[column] = choose(_values(one).get(column, 0.0) for one in rows)
    return new_row(harder.rule, harder.part, values, harder.low, harder.high)


@lru_cache(maxsize=512)
def _worst(
    same: Same[Limited],
    side: Side,
    known: Same[Uncertainty],
    laid: Same[Frame],
    ionic_strength: float,
) -> tuple[Row, ...]:
    rule, frame = same.thing.moved("high" if side == "low" else "low", None), laid.thing
    ranges = _ranges(known, laid)
    apart = STRENGTH_APART * known.thing.scale if rule.dispersed else 0.0
    strengths = sorted({ionic_strength * (1.0 + one) for one in (-apart, 0.0, apart)})
    count = len(rule.rows(frame, ionic_strength))
    return tuple(
        _either(
            [_worst_row(rule, place, frame, one, ranges) for one in strengths],
            len(frame.materials),
        )
        for place in range(count)
    )


def _lots(
    row: Row, probed: list[Row], ranges: tuple[Ranges, ...]
) -> dict[int, tuple[Material, float]]:
    """The worst lot and price of each material for a row, where any figure of it matters."""
    least = isfinite(row.low)
    if least == isfinite(row.high):
        raise ValueError(f"{row.rule}, {row.part}: a row with two sides has no worst lots")
    sense = 1.0 if least else -1.0
    base = _values(row)
    slopes: dict[int, list[float]] = {}
    for place, one in enumerate(probed):
        for column, value in _values(one).items():
            slope = value - base.get(column, 0.0)
            if slope and column < len(ranges):
                slopes.setdefault(column, [0.0] * len(probed))[place] = sense * slope
    return {column: _lot(ranges[column], *steep) for column, steep in slopes.items()}


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


def _values(row: Row) -> Mapping[int, float]:
    return dict(zip(row.columns, row.values, strict=True))


@lru_cache(maxsize=8)
def _ranges(within: Same[Uncertainty], frame: Same[Frame]) -> tuple[Ranges, ...]:
    shelf = zip(frame.thing.materials, frame.thing.prices, strict=True)
    return tuple(ranges_of(within.thing, material, price) for material, price in shelf)


@lru_cache(maxsize=8)
def _probed(frame: Same[Frame]) -> tuple[Frame, ...]:
    """A shelf with one figure of every material one unit higher: each tells one slope.

    The first has another alkalinity, the second another price, then come the contents by place.
    """
    return tuple(_shifted(frame.thing))


def _shifted(frame: Frame) -> Iterator[Frame]:
    ranges = _ranges(Same(_EXACT), Same(frame))
    typical = [[span.typical for span in one.contents] for one in ranges]
    alkaline = (
        one.lot(contents, one.alkalinity.typical + 1.0)
        for one, contents in zip(ranges, typical, strict=True)
    )
    yield with_lots(frame, tuple(alkaline), frame.prices)
    yield replace(frame, prices=tuple(price + 1.0 for price in frame.prices))
    for place in range(max(map(len, typical), default=0)):
        richer = (
            one.lot(_one_more(contents, place), one.alkalinity.typical)
            for one, contents in zip(ranges, typical, strict=True)
        )
        yield with_lots(frame, tuple(richer), frame.prices)


def _one_more(contents: list[float], place: int) -> list[float]:
    return [content + (place == at) for at, content in enumerate(contents)]


_EXACT = Uncertainty(scale=0.0)
