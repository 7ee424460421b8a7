"""What many scenarios come to: costs, who is in, when to switch, and what holding on costs."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from ...constraints.model.lots import Flags, Floats
from ...constraints.model.mix import TRACE
from .along import Along, Varied, along_of
from .quantiles import quantiles_of
from .sweep import Block, Sweep

FEW_PRICES = 3
"""With no more prices drawn, what each of them does by itself is told."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How a material fares over the scenarios.

    Args:
        material: its name.
        used: share of the scenarios with a composition in which it is used [1].
        low, high: least and greatest share of the mix where it is [kg/kg].
        in_up_to: the highest price at which it was in [money/kg]; ``None`` where it never was, or
            its price is always the same.
        out_from: the lowest price at which it was out [money/kg]; ``None`` alike.
    """

    material: str
    used: float
    low: float
    high: float
    in_up_to: float | None
    out_from: float | None


@dataclass(frozen=True, slots=True)
class Summary:
    """What many scenarios come to.

    Args:
        count: scenarios worked out.
        asked: scenarios asked for; more than were worked out where time ran out.
        none: of them, those in which no composition keeps the rules.
        costs: quantiles of the least cost, as ``QUANTILES`` [money/kg].
        held: quantiles of what the formula that is held costs [money/kg].
        regret: quantiles of what holding it costs more, where it keeps the rules [money/kg].
        unmade: scenarios in which it cannot be made.
        standings: every material that was ever used, most used first.
        anew: scenarios that were solved from cold.
        untold: scenarios in which it could not be told whether there is a composition.
        breaks: scenarios in which the formula that is held can be made and breaks a rule.
        broken: rule -> in how many of them it breaks that one, those that break most first.
        along: what the limits that are moved come to, and prices where a few of them are drawn.
        lots: materials of which other lots came.
    """

    count: int
    asked: int
    none: int
    costs: tuple[float, ...]
    held: tuple[float, ...]
    regret: tuple[float, ...]
    unmade: int
    standings: tuple[Standing, ...]
    anew: int
    untold: int
    breaks: int
    broken: Mapping[str, int]
    along: tuple[Along, ...]
    lots: int


def summary_of(sweep: Sweep, blocks: Iterable[Block]) -> Summary:
    """Sum up what was worked out."""
    done = tuple(blocks)
    costs = np.concatenate([one.costs for one in done])
    held = np.concatenate([one.held for one in done])
    shares = np.concatenate([one.shares for one in done])
    prices = np.concatenate([one.prices for one in done])
    limits = np.concatenate([one.limits for one in done])
    untold = np.concatenate([one.untold for one in done])
    there, made = ~np.isnan(costs), ~np.isnan(held)
    broken = np.concatenate([one.broken for one in done])[made]
    names = sweep.bench.material_names
    standings = (
        _standing(name, shares[there, column], prices[there, column])
        for column, name in enumerate(names)
    )
    used = sorted((one for one in standings if one.used), key=lambda one: (-one.used, one.material))
    return Summary(
        count=len(costs),
        asked=sweep.question.count,
        none=int((~there & ~untold).sum()),
        costs=quantiles_of(costs),
        held=quantiles_of(held),
        regret=quantiles_of(np.concatenate([one.regret for one in done])),
        unmade=int(np.isnan(held).sum()),
        standings=tuple(used),
        anew=sum(one.anew for one in done),
        untold=int(untold.sum()),
        breaks=int(broken.any(axis=1).sum()),
        broken=_by_rule(sweep, broken),
        lots=len(sweep.question.lots),
        along=tuple(
            along_of(varied, places, costs=costs, shares=shares, untold=untold, names=names)
            for varied, places in _varied(sweep, limits, prices)
        ),
    )


def _varied(sweep: Sweep, limits: Floats, prices: Floats) -> Iterator[tuple[Varied, Floats]]:
    """Limits that are moved, and prices where a few of them are drawn, each with its places."""
    for limit, places in zip(sweep.question.limits, limits.T, strict=True):
        yield Varied(limit.rule, limit.side, limit.places, limit.drawn), places
    names, drawn = sweep.bench.material_names, sweep.question.prices
    for name, ends in drawn.items() if len(drawn) <= FEW_PRICES else ():
        yield Varied(name, None, ends, drawn=True), prices[:, names.index(name)]


def _by_rule(sweep: Sweep, broken: Flags) -> Mapping[str, int]:
    """Rule -> how often it is broken, those that break most first; none that never is."""
    counts = zip((rule.id for rule in sweep.bench.brief.rules), broken.sum(axis=0), strict=True)
    found = ((name, int(count)) for name, count in counts if count)
    return dict(sorted(found, key=lambda one: -one[1]))


def _standing(name: str, shares: Floats, prices: Floats) -> Standing:
    used = shares > TRACE
    if not len(shares) or not used.any():
        return Standing(name, 0.0, 0.0, 0.0, None, None)
    moves = prices.min() < prices.max()
    return Standing(
        material=name,
        used=float(used.mean()),
        low=float(shares[used].min()),
        high=float(shares[used].max()),
        in_up_to=float(prices[used].max()) if moves else None,
        out_from=float(prices[~used].min()) if moves and not used.all() else None,
    )
