"""How a row bends with the lots: what a unit more of each figure adds to its coefficients.

Rows are affine in the contents, the residual alkalinity and the price of each material, and the
coefficient of a share hangs on the lot of that one material. So its slopes tell what any lots do to
it. A kind of rule may tell them; of any other a shelf is asked for with one figure of every
material a unit higher.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import fsum, isfinite

from ..acidity.ranges import ranges_of
from ..model.frame import Frame, Same, with_lots
from ..model.material import Material
from ..model.row import Relaid, Row, Slopes
from ..model.rule import Limited, Side
from ..model.uncertainty import Ranges, Uncertainty, least_in, least_lot


class Asked:
    """One limit of a rule, whichever lots it is to hold for: its rows do not depend on them."""

    __slots__ = ("rule", "side")

    def __init__(self, rule: Limited, side: Side) -> None:
        alone = rule.moved("high" if side == "low" else "low", None)
        self.rule, self.side = replace(alone, within=None), side

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Asked) and (self.side, self.rule) == (other.side, other.rule)

    def __hash__(self) -> int:
        return hash((self.side, self.rule.id, self.rule.low, self.rule.high))


@dataclass(frozen=True, slots=True)
class Bend:
    """A row, and how it bends with the lots.

    Args:
        rule, place, ionic_strength: of which rule it is which row, at what ionic strength.
        typical: as it is for typical lots.
        slopes: column -> what a unit more of its alkalinity, of its price and of each of its
            contents adds to the coefficient; where more is worse, with the sign turned.
        worst: column -> how far the worst contents and the worst alkalinity of all that may come
            move the coefficient.
        straight: whether no choice stands in it, so that each coefficient moves for itself.
        relaid: lays it anew from other coefficients of its shares, where a choice stands in it and
            the kind of rule can tell.
    """

    rule: Limited
    place: int
    ionic_strength: float
    typical: Row
    slopes: Mapping[int, Sequence[float]]
    worst: Mapping[int, tuple[float, float]]
    straight: bool
    relaid: Relaid | None


@lru_cache(maxsize=1024)
def bends(asked: Asked, laid: Same[Frame], ionic_strength: float) -> tuple[Bend, ...]:
    """How each row of one limit of a rule bends.

    Args:
        asked: the limit.
        laid: the columns.
        ionic_strength: at which the rows stand [mol/kg water].

    Raises:
        ValueError: when a row has two sides, so that no one lot is worst for it.
    """
    rule = asked.rule
    typical, *_ = _probed(laid)
    rows, told = rule.rows(typical, ionic_strength), rule.bends(typical, ionic_strength)
    slopes = _probed_slopes(rule, laid, ionic_strength, rows) if told is None else told.slopes
    relaid = None if told is None else told.relaid
    each = zip(rows, slopes, strict=True)
    return tuple(
        _bend((rule, place, ionic_strength), row, steep, relaid, laid)
        for place, (row, steep) in enumerate(each)
    )


def _bend(
    of: tuple[Limited, int, float],
    row: Row,
    steep: Slopes,
    relaid: Relaid | None,
    laid: Same[Frame],
) -> Bend:
    least = isfinite(row.low)
    if least == isfinite(row.high):
        raise ValueError(f"{row.rule}, {row.part}: a row with two sides has no worst lots")
    sense = 1.0 if least else -1.0
    slopes = {column: tuple(sense * one for one in each) for column, each in steep.items()}
    ranges = all_of(laid)
    worst = {column: _furthest(ranges[column], sense, *each) for column, each in slopes.items()}
    straight = all(column < len(ranges) for column in row.columns)
    return Bend(*of, row, slopes, worst, straight, None if straight else relaid)


def _probed_slopes(
    rule: Limited, laid: Same[Frame], ionic_strength: float, typical: Sequence[Row]
) -> list[Slopes]:
    probed = [rule.rows(one, ionic_strength) for one in _probed(laid)[1:]]
    shares = len(laid.thing.materials)
    return [
        _differences(row, [rows[place] for rows in probed], shares)
        for place, row in enumerate(typical)
    ]


def _differences(row: Row, probed: Sequence[Row], shares: int) -> Slopes:
    base = values_of(row)
    slopes: dict[int, list[float]] = {}
    for place, one in enumerate(probed):
        values = values_of(one)
        for column in base.keys() | values.keys():
            slope = values.get(column, 0.0) - base.get(column, 0.0)
            if slope and column < shares:
                slopes.setdefault(column, [0.0] * len(probed))[place] = slope
    return slopes


def _furthest(
    ranges: Ranges, sense: float, alkaline: float, _: float, *by_content: float
) -> tuple[float, float]:
    """How far the worst contents and the worst alkalinity move a coefficient."""
    weights = by_content[: len(ranges.contents)]
    found = zip(weights, least_lot(ranges.contents, weights), ranges.contents, strict=True)
    moved = fsum(weight * (content - span.typical) for weight, content, span in found)
    span = ranges.alkalinity
    return sense * moved, sense * alkaline * (least_in(span, alkaline) - span.typical)


def values_of(row: Row) -> Mapping[int, float]:
    """Its coefficients by column."""
    return dict(zip(row.columns, row.values, strict=True))


@lru_cache(maxsize=8)
def all_of(laid: Same[Frame]) -> tuple[Ranges, ...]:
    """All that may come of each material."""
    return tuple(
        ranges_of(_WHOLE, one, price)
        for one, price in zip(laid.thing.materials, laid.thing.prices, strict=True)
    )


@lru_cache(maxsize=8)
def _probed(frame: Same[Frame]) -> tuple[Frame, ...]:
    """A shelf of typical lots, then with one figure of every material one unit higher.

    Each of these tells one slope: the first has another alkalinity, the second another price, then
    come the contents by place. In all of them every alkalinity counts as known, so that they differ
    in nothing else.
    """
    return tuple(_shifted(frame.thing))


def _shifted(frame: Frame) -> Iterator[Frame]:
    ranges = all_of(Same(frame))
    typical = [[span.typical for span in one.contents] for one in ranges]

    def lots(alkaline: float = 0.0, place: int | None = None) -> tuple[Material, ...]:
        return tuple(
            one.lot(_one_more(contents, place), one.alkalinity.typical + alkaline)
            for one, contents in zip(ranges, typical, strict=True)
        )

    yield with_lots(frame, lots(), frame.prices)
    yield with_lots(frame, lots(1.0), frame.prices)
    yield with_lots(frame, lots(), tuple(price + 1.0 for price in frame.prices))
    for place in range(max(map(len, typical), default=0)):
        yield with_lots(frame, lots(0.0, place), frame.prices)


def _one_more(contents: list[float], place: int | None) -> list[float]:
    return [content + (place == at) for at, content in enumerate(contents)]


_WHOLE = Uncertainty()
