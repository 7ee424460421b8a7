"""The worst lots for a rule: where the set of what may come leaves the least room.

Rows are affine in the contents, the residual alkalinity and the price of each material, and a
share is never below nothing, so the worst lot of a material for a row is the one that makes its
coefficient worst, whatever the composition. Nothing is asked of a rule but its rows, and a kind of
rule that is added is treated like those that are here.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
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
    bends = [_bends(_Asking(rule, side), Same(frame), one) for one in strengths]
    return tuple(
        _either([_worst_row(one, within, frame, lots) for one in same], len(frame.materials))
        for same in zip(*bends, strict=True)
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
        for one in _bends(_Asking(rule, side), Same(frame), strength):
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


class _Asking:
    """One limit of a rule, whichever lots it is to hold for: its rows do not depend on them."""

    __slots__ = ("rule", "side")

    def __init__(self, rule: Limited, side: Side) -> None:
        alone = rule.moved("high" if side == "low" else "low", None)
        self.rule, self.side = replace(alone, within=None), side

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asking) and (self.side, self.rule) == (other.side, other.rule)

    def __hash__(self) -> int:
        return hash((self.side, self.rule.id, self.rule.low, self.rule.high))


@dataclass(frozen=True, slots=True)
class _Bend:
    """A row, and how it bends with the lots.

    Args:
        rule, place, ionic_strength: of which rule it is which row, at what ionic strength.
        typical: as it is for typical lots.
        slopes: column -> what a unit more of its alkalinity, of its price and of each of its
            contents adds to the coefficient; where more is worse, with the sign turned.
        worst: column -> how far the worst contents and the worst alkalinity of all that may come
            move the coefficient.
        straight: whether no choice stands in it, so that each coefficient moves for itself.
    """

    rule: Limited
    place: int
    ionic_strength: float
    typical: Row
    slopes: Mapping[int, Sequence[float]]
    worst: Mapping[int, tuple[float, float]]
    straight: bool


@lru_cache(maxsize=1024)
def _bends(asking: _Asking, laid: Same[Frame], ionic_strength: float) -> tuple[_Bend, ...]:
    rule = asking.rule
    typical, *probed = (rule.rows(one, ionic_strength) for one in _probed(laid))
    return tuple(
        _bend(rule, place, ionic_strength, row, [rows[place] for rows in probed], laid)
        for place, row in enumerate(typical)
    )


def _bend(  # noqa: PLR0917
    rule: Limited,
    place: int,
    ionic_strength: float,
    row: Row,
    probed: Sequence[Row],
    laid: Same[Frame],
) -> _Bend:
    least = isfinite(row.low)
    if least == isfinite(row.high):
        raise ValueError(f"{row.rule}, {row.part}: a row with two sides has no worst lots")
    sense = 1.0 if least else -1.0
    slopes = _slopes(row, probed, sense, len(laid.thing.materials))
    ranges = _all_of(laid)
    worst = {column: _furthest(ranges[column], sense, *steep) for column, steep in slopes.items()}
    straight = all(column < len(ranges) for column in row.columns)
    return _Bend(rule, place, ionic_strength, row, slopes, worst, straight)


def _slopes(
    row: Row, probed: Sequence[Row], sense: float, shares: int
) -> Mapping[int, Sequence[float]]:
    base = _values(row)
    slopes: dict[int, list[float]] = {}
    for place, one in enumerate(probed):
        values = _values(one)
        for column in base.keys() | values.keys():
            slope = values.get(column, 0.0) - base.get(column, 0.0)
            if slope and column < shares:
                slopes.setdefault(column, [0.0] * len(probed))[place] = sense * slope
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


def _worst_row(one: _Bend, within: Uncertainty, frame: Frame, together: Together) -> Row:
    """The row at its worst lots: they lie as far out as the ranges are to count.

    Where readings tie materials, these stand at lots that may come together.
    """
    if not one.slopes:
        return one.typical
    if not one.straight:
        lots = {
            column: _one_lot(_ranges(within, frame, column), steep, within, together)
            for column, steep in one.slopes.items()
        }
        return one.rule.rows(_at(frame, lots), one.ionic_strength)[one.place]
    values = dict(_values(one.typical))
    for column, steep in one.slopes.items():
        moved = _moved(one, column, steep, within, frame, together)
        values[column] = values.get(column, 0.0) + moved
    return new_row(one.typical.rule, one.typical.part, values, one.typical.low, one.typical.high)


def _moved(  # noqa: PLR0917
    one: _Bend,
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
        figures = _typical_of(_all_of(Same(frame))[column])
        there = together.get(material.name, figures)
        slopes = _in_order(steep, material)
        apart = (s * (t - f) for s, t, f in zip(slopes, there, figures, strict=True))
        return -sense * fsum(apart) + dear
    contents, alkaline = one.worst[column]
    return scale * contents + (1.0 if whole else scale) * alkaline + dear


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
    values = dict(_values(harder))
    for column in {column for one in rows for column in one.columns if column < shares}:
        values[column] = choose(_values(one).get(column, 0.0) for one in rows)
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


def _values(row: Row) -> Mapping[int, float]:
    return dict(zip(row.columns, row.values, strict=True))


def _ranges(within: Uncertainty, frame: Frame, column: int) -> Ranges:
    return ranges_of(within, frame.materials[column], frame.prices[column])


@lru_cache(maxsize=8)
def _all_of(laid: Same[Frame]) -> tuple[Ranges, ...]:
    """All that may come of each material."""
    return tuple(_ranges(_WHOLE, laid.thing, one) for one in range(len(laid.thing.materials)))


@lru_cache(maxsize=8)
def _probed(frame: Same[Frame]) -> tuple[Frame, ...]:
    """A shelf of typical lots, then with one figure of every material one unit higher.

    Each of these tells one slope: the first has another alkalinity, the second another price, then
    come the contents by place. In all of them every alkalinity counts as known, so that they differ
    in nothing else.
    """
    return tuple(_shifted(frame.thing))


def _shifted(frame: Frame) -> Iterator[Frame]:
    ranges = _all_of(Same(frame))
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
