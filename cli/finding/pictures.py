"""Pictures of a composition: what is in it, what it costs, where its rules and its pH stand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...constraints.model.rule import Limited
from ...constraints.values.units import scale_of
from ..kit.numbers import in_unit, money, share
from ..kit.words import verdict_cells
from ..picture.acidity import AcidityBand, Reach
from ..picture.bars import Amount, Bars
from ..picture.gauges import Gauge, Gauges
from ..picture.lines import Graph, Mark

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ...constraints.acidity.prediction import Prediction
    from ...constraints.model.brief import Bench, Composition
    from ...constraints.model.verdict import Verdict
    from ...constraints.rules.acidity import Acidity
    from ...solver.prices.worth import Slope


def limit_picture(
    rule: Limited, slope: Slope | None, cost: float, currency: str, *, chosen: bool
) -> Graph | None:
    """The cost along a limit, straight as far as its price holds; ``None`` where that is nowhere.

    Args:
        rule: whose limit it is.
        slope: its exact price each way.
        cost: of the mix as the limit stands [money/kg].
        currency: of the cost.
        chosen: whether it holds with a choice of materials alone.
    """
    if slope is None or slope.tighter is None or slope.looser is None:
        return None
    now = rule.standing(slope.side)
    ends = [(slope.loosest, -slope.looser), (slope.tightest, slope.tighter)]
    reached = [(end, cost + rate * abs(end - now)) for end, rate in ends if end is not None]
    points = sorted({(now, cost), *reached})
    if points[-1][0] - points[0][0] <= 0.0:
        return None
    scale, word = scale_of(rule.unit), {"low": "lower", "high": "upper"}[slope.side]
    told = tuple((in_unit(round(at, 6), rule.unit), f"{value:.3f}") for at, value in points)
    said = (
        f"At {told[0][0]} the mix costs {told[0][1]} {currency}/kg, at {told[-1][0]}"
        f" {told[-1][1]}; the limit stands at {in_unit(now, rule.unit)}. It is straight as far as"
        f" this price holds{', with the choice made here' if chosen else ''}."
    )
    across = f"{word} limit of {rule.id}"
    return Graph(
        title=f"What the {across} costs",
        said=said,
        across=f"{across} [{rule.unit}]" if rule.unit else across,
        up=f"{currency}/kg of mix",
        points=tuple((at * scale, value) for at, value in points),
        marks=(Mark("today", (now * scale, cost)),),
        told=told,
    )


MOST = 16
"""Gauges in one picture; the table beside it has every rule."""


def shares_picture(composition: Composition) -> Bars:
    """What it is made of, most first."""
    parts = sorted(composition.parts.items(), key=lambda part: (-part[1], part[0]))
    first = parts[0][0] if parts else "nothing"
    return Bars(
        "What it is made of",
        f"Shares of the mix, most first: {len(parts)} materials, of which {first} is the most.",
        ("material", "share"),
        tuple(Amount(name, amount, share(amount)) for name, amount in parts),
    )


def costs_picture(bench: Bench, composition: Composition) -> Bars:
    """What each material adds to the cost, dearest first."""
    currency = bench.brief.currency
    costs = {name: bench.item(name).price * part for name, part in composition.parts.items()}
    dearest = sorted(costs.items(), key=lambda cost: (-cost[1], cost[0]))
    total = sum(costs.values())
    said = f"Of {money(total, currency)} of mix, what each material costs, dearest first."
    bars = tuple(Amount(name, cost, f"{cost:.3f}") for name, cost in dearest)
    return Bars("Where the cost lies", said, ("material", f"{currency}/kg of mix"), bars)


def rules_picture(verdicts: Sequence[Verdict]) -> Gauges | None:
    """Rules with the least room first, as many as can be looked at; ``None`` where none has any."""
    found = [(verdict, one) for verdict in verdicts if (one := _gauge(verdict)) is not None]
    if not found:
        return None
    tight = sorted(found, key=lambda pair: (pair[1].kept, _room(pair[1])))
    shown = tuple(gauge for _, gauge in tight[:MOST])
    broken = sum(not gauge.kept for gauge in shown)
    kept = "All of them are kept." if not broken else f"{broken} of them do not count as kept."
    which = f"The {len(shown)} of {len(verdicts)} rules" if len(shown) < len(found) else "Rules"
    said = f"{which} with the least room, each on its own scale: the band is what it allows. {kept}"
    return Gauges("Where the rules stand", said, shown)


def _gauge(verdict: Verdict) -> Gauge | None:
    rule, value = verdict.rule, verdict.value
    if not isinstance(rule, Limited) or value is None or rule.shuts_out() is not None:
        return None
    low, high = rule.low, rule.high
    if verdict.idle or (low is None and high is None):
        return None
    name, *said = verdict_cells(verdict)
    low = None if low == 0 and high is not None else low
    return Gauge(name, value, low, high, verdict.kept, (said[0], said[1], said[2]))


def _room(gauge: Gauge) -> float:
    """How far from its nearer limit, on its own scale."""
    here = gauge.place(gauge.value)
    limits = [gauge.place(limit) for limit in (gauge.low, gauge.high) if limit is not None]
    return min(abs(here - limit) for limit in limits)


def acidity_picture(rule: Acidity, predictions: Sequence[tuple[str, Prediction]]) -> AcidityBand:
    """What pH to expect, each prediction by its name, beside what is asked."""
    reaches = tuple(Reach(name, one.ph, one.low, one.high) for name, one in predictions)
    said = "; ".join(
        f"{one.name} pH {one.ph:.2f}, from {one.low:.2f} to {one.high:.2f}" for one in reaches
    )
    told = f"{said[0].upper()}{said[1:]} as the materials vary, over the band that is asked."
    return AcidityBand("Its pH, as predicted", told, reaches, rule.low, rule.high)
