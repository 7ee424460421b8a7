"""Very many scenarios: worked out in blocks, by one process, several, or a cluster.

A block always begins from the same cold start and is worked through in order, so that its figures
are the same, bit for bit, by whomever and whenever it is done.
"""

from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np

from ...constraints.acidity.many import predict_many
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import Same, frame_of
from ...constraints.model.lots import Flags, Floats
from ...constraints.rules.acidity import PH_TOLERANCE, Acidity, acidity_of
from ...constraints.rules.outer import acidity_rules
from ...constraints.values.told import Told
from ..cheapest.cheapest import least
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import ionic_strength
from ..program.outcome import Optimal
from ..strength.composing import composed
from .changing_rows import ChangingRows
from .found import Found
from .moved_limit import moved
from .question import SLICE, Question
from .standing import Market, broken, unmade
from .warm import Shelf, only_capped, shares_of
from .workers import by_processes, on_cluster

BLOCK, SLOW_BLOCK = 4 * SLICE, 25


@dataclass(frozen=True, slots=True, repr=False)
class Block(Told):
    """Some scenarios, worked out.

    Args:
        first: number of the first.
        prices: [N, n] [money/kg].
        costs: [N] of the cheapest composition, not a number where there is none [money/kg].
        shares: [N, n] of it [kg/kg].
        held: [N] what the formula that is held would cost, not a number where a material of it is
            missing [money/kg].
        anew: how many had to be solved from cold.
        limits: [N, L] where limits that are moved stand.
        broken: [N, rules] which rules of the brief the formula that is held breaks.
        untold: [N] where it could not be told whether there is a composition.
    """

    first: int
    prices: Floats
    costs: Floats
    shares: Floats
    held: Floats
    anew: int
    limits: Floats
    broken: Flags
    untold: Flags

    @property
    def regret(self) -> Floats:
        """[N] what holding the formula costs more than the cheapest [money/kg].

        Not a number where it breaks a rule: what is cheaper for that is no bargain.
        """
        return np.where(self.broken.any(axis=1), np.nan, self.held - self.costs)


@dataclass(frozen=True, slots=True, repr=False)
class Sweep(Told):
    """A question put to a bench.

    Args:
        bench: shelf and rules.
        question: what is varied.
        held: the formula that is held: today's.
        strength: ionic strength at which the pH rows stand [mol/kg water].
    """

    bench: Bench
    question: Question
    held: Composition
    strength: float

    @property
    def block(self) -> int:
        """Scenarios that are worked out together; fewer where their rows differ."""
        return SLOW_BLOCK if self.question.changes_rows else BLOCK

    def blocks(self, first: int = 0) -> range:
        """Numbers of the first scenario of every block from one on."""
        return range(first - first % self.block, self.question.count, self.block)


def sweep_of(
    bench: Bench,
    question: Question,
    held: Composition | None = None,
    *,
    deadline: Deadline = NEVER,
) -> Sweep | None:
    """Put a question to a bench; ``None`` where no composition of today was found.

    Args:
        bench: shelf and rules.
        question: what is varied.
        held: the formula to hold; without it today's cheapest.
        deadline: when to give up.

    Raises:
        KeyError: when the question or the formula names a material that is not on the shelf, or the
            question a limit that the brief has not.
    """
    moved(bench, [(limit, limit.places[0]) for limit in question.limits])
    for name in (
        *question.prices,
        *question.missing,
        *question.lots,
        *(n for one in question.history for n in one),
    ):
        bench.item(name)
    outcome, _, _ = least(bench, deadline=deadline)
    if not isinstance(outcome, Optimal):
        return None
    today = composed(bench, outcome)
    return Sweep(bench, question, held or today, ionic_strength(bench, today))


def worked_out(
    sweep: Sweep,
    first: int = 0,
    workers: int = 1,
    cluster: str | None = None,
    deadline: Deadline = NEVER,
) -> Iterator[Block]:
    """Every block from one on, in order, as long as there is time.

    Args:
        sweep: the question.
        first: number of the first scenario to be worked out; its whole block is.
        workers: processes on this machine, the one that asks among them.
        cluster: address of a Dask scheduler, or "local" for one that is started here.
        deadline: when to begin no other; the last block may then be cut short.
    """
    firsts = sweep.blocks(first)
    if cluster is not None:
        found = on_cluster(partial(block, sweep), firsts, workers, cluster)
    elif workers > 1:
        found = by_processes(partial(block, sweep), firsts, workers)
    else:
        found = (block(sweep, one, deadline) for one in firsts)
    with closing(found):
        for one in found:
            yield one
            if deadline.passed():
                return


def block(sweep: Sweep, first: int, deadline: Deadline = NEVER) -> Block:
    """One block of scenarios; those that come before the deadline."""
    numbers = range(first, min(first + sweep.block, sweep.question.count))
    market = Market.of(sweep.bench, sweep.question, numbers)
    found = Found.none_of(*market.prices.shape)
    shelf = None if sweep.question.changes_rows else _shelf(Same(sweep))
    rows: ChangingRows | None = None
    if shelf is not None:
        left = _warmly(sweep, shelf, market, found)
    else:  # rows differ, as prices can stand in them too
        left = np.ones(len(numbers), dtype=np.bool_)
        rows = ChangingRows(sweep.bench, sweep.strength)
    scenarios = sweep.question.scenarios(sweep.bench, numbers) if left.any() else []
    end = len(numbers)
    for place in map(int, np.flatnonzero(left)):
        if deadline.passed():
            end = place
            break
        found.put(place, scenarios[place], sweep.bench, sweep.strength, rows)
    if end < len(numbers):  # what is left undone is no part of it
        market = Market.of(sweep.bench, sweep.question, numbers[:end])
    anew = int(found.anew[:end].sum())
    costs, shares, untold = found.costs[:end], found.shares[:end], found.untold[:end]
    held, breaks = _held(sweep, market)
    return Block(first, market.prices, costs, shares, held, anew, market.limits, breaks, untold)


def _warmly(sweep: Sweep, shelf: Shelf, market: Market, found: Found) -> Flags:
    """Ask for all of them side by side; [N] which of them have to be asked for from cold."""
    found.costs[:], found.shares[:] = shelf.cheapest(market.prices, market.missing)
    return _astray(sweep, found.costs, found.shares)


def block_of(
    sweep: Sweep,
    first: int,
    costs: Floats,
    shares: Floats,
    untold: Flags,
) -> Block:
    """Scenarios whose cheapest compositions are known, with all else that their numbers settle.

    Args:
        sweep: the question.
        first: number of the first.
        costs: [N] of the cheapest composition, not a number where there is none [money/kg].
        shares: [N, n] of it [kg/kg].
        untold: [N] where it could not be told whether there is one.
    """
    numbers = range(first, first + len(costs))
    market = Market.of(sweep.bench, sweep.question, numbers)
    held, breaks = _held(sweep, market)
    return Block(first, market.prices, costs, shares, held, 0, market.limits, breaks, untold)


def _held(sweep: Sweep, market: Market) -> tuple[Floats, Flags]:
    """[N] what the formula that is held costs; [N, rules] which rules it breaks."""
    costs = market.prices @ shares_of(sweep.bench, sweep.held)
    costs[unmade(sweep.held, market)] = np.nan
    return costs, broken(sweep.bench, sweep.held, sweep.question, market)


@lru_cache(maxsize=2)
def _shelf(sweep: Same[Sweep]) -> Shelf | None:
    """A sweep held in the solver; ``None`` where prices stand in rows that no cost tells."""
    bench = sweep.thing.bench
    return Shelf(bench, sweep.thing.strength) if only_capped(bench) else None


def _astray(sweep: Sweep, costs: Floats, shares: Floats) -> Flags:
    """Which of them break a rule on pH at their own ionic strength, or found no composition."""
    bench, said = sweep.bench, acidity_of(sweep.bench.brief)
    missed = np.isnan(costs)
    if said is None:
        return np.zeros(len(costs), dtype=np.bool_)
    frame, there = frame_of(bench), np.flatnonzero(~missed)
    if len(there):
        ph, _ = predict_many(frame.materials, bench.substances, shares[there], said.dilution)
        for rule in acidity_rules(bench):
            missed[there] |= _broken(rule, ph, shares[there], frame.index)
    return missed


def _broken(rule: Acidity, ph: Floats, shares: Floats, index: Mapping[str, int]) -> Flags:
    low = -np.inf if rule.low is None else rule.low - PH_TOLERANCE
    high = np.inf if rule.high is None else rule.high + PH_TOLERANCE
    asked = np.ones(len(ph), dtype=np.bool_)
    if rule.when is not None:
        asked = shares[:, index[rule.when]] > 1e-9
    return np.asarray(asked & ((ph < low) | (ph > high)))
