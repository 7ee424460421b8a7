"""The smallest fill with which the declared net mass still holds when the bar is sold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil
from statistics import stdev

from ...constraints.market.labelling import labelling
from ...constraints.market.net_content import (
    NetContent,
    net_content,
    practice,
)
from ...constraints.model.brief import Bench
from ...constraints.values.problem import Problem, Problems, Source, Where
from ...constraints.values.told import Told
from .asked import enough_weighings, problems_of
from .demand import Demand, deviations


@dataclass(frozen=True, slots=True)
class Spread:
    """How much portions differ.

    Args:
        deviation: standard deviation of a portion as pressed [kg].
        weighings: number of weighings it was estimated from; 0 for a figure taken as known.
        batches: from which they are; each takes a degree of freedom for its own mean.
    """

    deviation: float
    weighings: int
    batches: int = 1

    @property
    def freedom(self) -> int:
        """Degrees of freedom; 0 for a figure taken as known."""
        return max(1, self.weighings - self.batches) if self.weighings else 0

    @property
    def poorly_known(self) -> bool:
        """Whether it was estimated from fewer weighings than makers trust."""
        return 0 < self.weighings < practice().few_weighings


@dataclass(frozen=True, slots=True, repr=False)
class Fill(Told):
    """What to press, and why.

    Each demand is met by the next batch with a chance of ``1 - risk`` or better, for portions that
    scatter normally around the mass pressed and all dry alike.

    Args:
        market: whose rules are kept.
        declared: net mass on the box [kg]; the larger where two rounded units stand on it.
        tolerable_shortfall: of a single bar, from the market's table [kg].
        spread: of the portions.
        bars: in a batch; its average is what the market looks at.
        risk: chance that a batch does not meet a demand.
        needed: smallest mean mass pressed for each demand [kg].
        pressed: the largest of them [kg].
        binding: the demand that asks for it.
        set_to: ``pressed``, rounded up to a step of the balance [kg].
        for_doubt: part of ``pressed`` that only a poorly known spread asks for [kg].
        given_away: mass sold beyond what is declared, a bar [kg].
        flat: what a flat margin would press [kg].
        flat_breaks: the demands that the flat margin does not meet.
        saved_a_bar: ``flat - set_to``, of mix [kg]; negative where the flat margin is too small.
        given_away_a_year: cost of what ``set_to`` presses beyond the declared mass and drying
            [money], ``None`` where cost or number of bars is not given.
        saved_a_year: the same against the flat margin.
        note: what a maker should know of the market's rules.
        caution: what this does not replace.
        source: of the market's rules.
        flat_source: of the flat margin.
    """

    market: str
    declared: float
    tolerable_shortfall: float
    spread: Spread
    bars: int
    risk: float
    needed: Mapping[Demand, float]
    pressed: float
    binding: Demand
    set_to: float
    for_doubt: float
    given_away: float
    flat: float
    flat_breaks: tuple[Demand, ...]
    saved_a_bar: float
    given_away_a_year: float | None
    saved_a_year: float | None
    note: str
    caution: str
    source: Source
    flat_source: Source


def fill(
    bench: Bench,
    market: str,
    *,
    bars: int,
    weighings: Sequence[float] = (),
    batches: int = 1,
    risk: float | None = None,
    cost_per_kg: float | None = None,
    bars_a_year: int | None = None,
) -> Fill | Problems:
    """The smallest mass to press so that the declared net mass holds when sold, or when packed.

    Args:
        bench: its brief gives the declared mass, the drying and, without weighings, the spread.
        market: "EU", "AU" or "US".
        bars: number of bars in a batch.
        weighings: bars as pressed, all portioned to the same mass [kg]; their standard deviation
            goes before the brief's.
        batches: how many batches they are from, each moved to one mean; their standard deviation
            is then that within a batch, with as many degrees of freedom as bars less batches.
        risk: accepted chance that a batch does not meet a demand; without it common practice.
        cost_per_kg: of the mix [money/kg].
        bars_a_year: to price what is given away.
    """
    accepted = practice().risk if risk is None else risk
    problems = tuple(problems_of(bench, market, bars, (weighings, batches), accepted))
    written = bench.brief.portioning.declared
    spread = _spread(bench, weighings, batches)
    if problems or written is None or spread is None:
        return Problems(problems)
    declared = labelling(market).declared_mass(written)
    rules, drying = net_content(market), bench.brief.portioning.drying_until_declared
    least = partial(least_pressed, rules, declared, drying, bars=bars, risk=accepted)
    needed, if_known = least(spread), least(Spread(spread.deviation, 0))
    pressed = max(needed.values())
    set_to = _set_to(bench, pressed)
    flat = declared * practice().flat_margin
    given_away = set_to - declared / (1 - drying)
    a_year = cost_per_kg * bars_a_year if cost_per_kg is not None and bars_a_year else None
    return Fill(
        market=market,
        declared=declared,
        tolerable_shortfall=_tolerable(rules, declared),
        spread=spread,
        bars=bars,
        risk=accepted,
        needed=needed,
        pressed=pressed,
        binding=max(needed, key=lambda demand: needed[demand]),
        set_to=set_to,
        for_doubt=pressed - max(if_known.values()),
        given_away=given_away,
        flat=flat,
        flat_breaks=tuple(demand for demand, mass in needed.items() if flat < mass),
        saved_a_bar=flat - set_to,
        given_away_a_year=None if a_year is None else given_away * a_year,
        saved_a_year=None if a_year is None else (flat - set_to) * a_year,
        note=rules.note,
        caution=rules.caution,
        source=rules.source,
        flat_source=practice().source,
    )


def strictest(
    bench: Bench,
    markets: Sequence[str],
    *,
    bars: int,
    weighings: Sequence[float] = (),
    batches: int = 1,
    risk: float | None = None,
    cost_per_kg: float | None = None,
    bars_a_year: int | None = None,
) -> Fill | Problems:
    """The fill of the market that asks for most, arguments as for ``fill``."""
    found = [
        fill(
            bench,
            market,
            bars=bars,
            weighings=weighings,
            batches=batches,
            risk=risk,
            cost_per_kg=cost_per_kg,
            bars_a_year=bars_a_year,
        )
        for market in markets
    ]
    problems = [one for each in found if isinstance(each, Problems) for one in each.items]
    if problems:
        return Problems(tuple(dict.fromkeys(problems)))
    filled = [one for one in found if isinstance(one, Fill)]
    if not filled:
        where = Where("brief.toml", "product.markets")
        return Problems((Problem(where, "no market", "the market the bar is sold in"),))
    return max(filled, key=lambda one: one.pressed)


def least_pressed(
    rules: NetContent, declared: float, drying: float, spread: Spread, *, bars: int, risk: float
) -> dict[Demand, float]:
    """The smallest mean mass to press [kg] for each demand of a market.

    A bar pressed at ``m`` is sold at ``m·(1 - drying)``, so that a limit on what is sold is met by
    pressing ``limit / (1 - drying)`` and a number of standard deviations more: see ``deviations``.

    Args:
        rules: of the market.
        declared: [kg].
        drying: water lost before sale [kg/kg].
        spread: of the portions.
        bars: in a batch.
        risk: chance that a batch does not meet a demand.

    Raises:
        ValueError: when the market's table has no row for the declared mass.
    """
    tolerable = _tolerable(rules, declared)
    limits = {
        Demand.AVERAGE: declared,
        Demand.FEW_SHORT: declared - tolerable,
        Demand.NONE_FAR_SHORT: declared - rules.none_times * tolerable,
    }
    if rules.few is None:
        del limits[Demand.FEW_SHORT]
    return {
        demand: limit / (1 - drying)
        + deviations(demand, rules, spread.freedom, bars, risk) * spread.deviation
        for demand, limit in limits.items()
    }


def _tolerable(rules: NetContent, declared: float) -> float:
    tolerable = rules.tolerable_shortfall(declared)
    if tolerable is None:
        raise ValueError(f"no tolerable shortfall for {declared} kg in {rules.market}")
    return tolerable


def _spread(bench: Bench, weighings: Sequence[float], batches: int) -> Spread | None:
    if enough_weighings(len(weighings), batches):
        return Spread(stdev(weighings), len(weighings), batches)
    said = bench.brief.portioning
    return None if said.spread is None else Spread(said.spread, said.spread_from)


def _set_to(bench: Bench, pressed: float) -> float:
    """``pressed``, rounded up to a step of the finest balance that can carry it."""
    steps = [balance.step for balance in bench.brief.balances if balance.capacity >= pressed]
    if not steps:
        return pressed
    return round(ceil(round(pressed / min(steps), 6)) * min(steps), 12)
