"""For which lots a rule holds: for typical ones, or for whichever of a set may come.

A kind of rule knows one lot of each material. Everything else asks for rows and verdicts here.
"""

from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from ..model.frame import Same
from ..model.rule import Kind, Limited, Rule, Side
from ..model.verdict import Verdict

if TYPE_CHECKING:
    from ..model.brief import Bench
    from ..model.frame import Frame
    from ..model.mix import Mix
    from ..model.row import Row
    from ..model.uncertainty import Correction, Uncertainty


def rows_held(rule: Rule, frame: "Frame", ionic_strength: float) -> "list[Row]":
    """The rows of a rule; for every lot that may come, one row a limit, at its worst lots."""
    if rule.within is None or rule.whole:
        return rule.rows(frame, ionic_strength)
    rows = _rows(rule, rule.within, frame, ionic_strength)
    correction = rule.within.correction
    if correction is None:
        return rows
    from .correcting import leaving_room

    return [leaving_room(row, rule, correction, frame) for row in rows]


def _rows(rule: Rule, within: "Uncertainty", frame: "Frame", ionic_strength: float) -> "list[Row]":
    if not isinstance(rule, Limited) or not rule.varies:
        return rule.rows(frame, ionic_strength)
    strength = ionic_strength if rule.dispersed else 0.0
    return list(_worst_rows(Same(rule), Same(within), Same(frame), strength))


@lru_cache(maxsize=256)  # of a brief asked again at another ionic strength most rules stay
def _worst_rows(
    held: "Same[Limited]", within: "Same[Uncertainty]", laid: "Same[Frame]", ionic_strength: float
) -> "tuple[Row, ...]":
    from .worst import worst_rows

    rule = held.thing
    return tuple(
        row
        for side in rule.limits()
        for row in worst_rows(rule, side, within.thing, laid.thing, ionic_strength)
    )


def place_held(rule: Limited, side: Side) -> int | None:
    """Which of its rows has this limit as a plain figure of its side, as ``Limited.place``.

    Where room is left for a correction the limit stands in the row with what the correction takes;
    where readings tie materials it stands in several rows.
    """
    place = rule.place(side)
    if place is None or rule.within is None:
        return place
    if rule.within.correction is not None or rule.within.cuts:
        return None
    return list(rule.limits()).index(side) if rule.varies else place


def verdict_of(rule: Rule, mix: "Mix") -> Verdict:
    """What a rule says of a composition; its room is that of the worst lots that may come."""
    typical = rule.judged(mix)
    if not isinstance(rule, Limited) or rule.within is None or rule.whole:
        return typical
    if typical.value is None:
        return typical
    ends = _ends(Same(mix), Same(rule.within.correction))
    rooms: dict[Side, float | None] = {"low": None, "high": None}
    kept = True
    for side in rule.limits():
        found = [_worst_room(rule, one, rule.within, side) for one in ends]
        choose = max if rule.corrected else min
        rooms[side], keeps = choose(found)
        kept = kept and keeps
    return replace(typical, kept=kept, room_low=rooms["low"], room_high=rooms["high"])


@lru_cache(maxsize=8)  # so that all rules ask about the very same two
def _ends(weighed: "Same[Mix]", added: "Same[Correction | None]") -> "tuple[Mix, ...]":
    """The mix as it is weighed, and with the most that is added at the bench."""
    mix, correction = weighed.thing, added.thing
    if correction is None:
        return (mix,)
    return mix, mix.with_more(correction.material, correction.price, correction.most)


def _worst_room(rule: Limited, mix: "Mix", within: "Uncertainty", side: Side) -> tuple[float, bool]:
    """The room that the worst lots leave to one limit, and whether it is kept in them."""
    sense, limit = (1.0 if side == "low" else -1.0), rule.standing(side)
    only = _only(rule, side)
    if not rule.varies:
        verdict = only.judged(mix)
        return sense * ((verdict.value or 0.0) - limit), verdict.kept
    from .extreme import extreme

    value, lots = extreme(only, mix, within, sense)
    return sense * (value - limit), bool(only.kept_in(lots)[0])


def holding(bench: "Bench", within: "Uncertainty | None") -> "Bench":
    """The bench with every rule holding for all these lots, or for typical ones alone.

    A law counts as it counts: at the end of the certificate that the law means. What is added at
    the bench counts against it like anything else.
    """
    rules = tuple(
        replace(rule, within=None if within is None else for_rule(rule, within))
        for rule in bench.brief.rules
    )
    return replace(bench, brief=replace(bench.brief, rules=rules))


def for_rule(rule: Rule, within: "Uncertainty") -> "Uncertainty | None":
    """The lots for which one rule is to hold, if any but typical ones."""
    if rule.varies and rule.kind is not Kind.LAW:
        return within
    return None if within.correction is None else replace(within, scale=0.0)


def _only(rule: Limited, side: Side) -> Limited:
    other = "high" if side == "low" else "low"
    return rule.moved(other, None)
