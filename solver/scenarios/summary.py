"""What many scenarios come to: costs, who is in, when to switch, and what holding on costs."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ...constraints.model.lots import Floats
from ...constraints.model.mix import TRACE
from .sweep import Block, Sweep

QUANTILES = (0.0, 0.05, 0.5, 0.95, 1.0)


@dataclass(frozen=True, slots=True)
class Standing:
    """How a material fares over the scenarios.

    Args:
        material: its name.
        used: share of the scenarios with a composition in which it is used [1].
        low, high: least and greatest share of the mix where it is [kg/kg].
        in_up_to: the highest price at which it was in [money/kg]; ``None`` where it never was.
        out_from: the lowest price at which it was out [money/kg]; ``None`` where it never was.
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
        regret: quantiles of what holding it costs more [money/kg].
        unmade: scenarios in which it cannot be made.
        standings: every material that was ever used, most used first.
        anew: scenarios that were solved from cold.
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


def summary_of(sweep: Sweep, blocks: Iterable[Block]) -> Summary:
    """Sum up what was worked out."""
    done = tuple(blocks)
    costs = np.concatenate([one.costs for one in done])
    held = np.concatenate([one.held for one in done])
    shares = np.concatenate([one.shares for one in done])
    prices = np.concatenate([one.prices for one in done])
    there = ~np.isnan(costs)
    names = sweep.bench.material_names
    standings = (
        _standing(name, shares[there, column], prices[there, column])
        for column, name in enumerate(names)
    )
    used = sorted((one for one in standings if one.used), key=lambda one: (-one.used, one.material))
    return Summary(
        count=len(costs),
        asked=sweep.question.count,
        none=int((~there).sum()),
        costs=_quantiles(costs),
        held=_quantiles(held),
        regret=_quantiles(held - costs),
        unmade=int(np.isnan(held).sum()),
        standings=tuple(used),
        anew=sum(one.anew for one in done),
    )


def _standing(name: str, shares: Floats, prices: Floats) -> Standing:
    used = shares > TRACE
    if not len(shares) or not used.any():
        return Standing(name, 0.0, 0.0, 0.0, None, float(prices.min()) if len(prices) else None)
    return Standing(
        material=name,
        used=float(used.mean()),
        low=float(shares[used].min()),
        high=float(shares[used].max()),
        in_up_to=float(prices[used].max()),
        out_from=None if used.all() else float(prices[~used].min()),
    )


def _quantiles(values: Floats) -> tuple[float, ...]:
    known = values[~np.isnan(values)]
    return tuple(map(float, np.quantile(known, QUANTILES))) if len(known) else ()
