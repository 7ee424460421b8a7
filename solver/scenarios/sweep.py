"""Very many scenarios: worked out in blocks, by one process, several, or a cluster.

A block always begins from the same cold start and is worked through in order, so that its figures
are the same, bit for bit, by whomever and whenever it is done.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np

from ...constraints.acidity.many import predict_many
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.frame import frame_of
from ...constraints.model.lots import Floats
from ...constraints.rules.acidity import PH_TOLERANCE, acidity_of
from ..cheapest.cheapest import composed, least
from ..program.fixed_point import ionic_strength
from ..program.outcome import Optimal
from .question import Question, Scenario
from .warm import Shelf, only_capped, settled_anew, shares_of

if TYPE_CHECKING:
    from collections.abc import Callable

BLOCK = 250


@dataclass(frozen=True, slots=True)
class Block:
    """Some scenarios, worked out.

    Args:
        first: number of the first.
        prices: [N, n] [money/kg].
        costs: [N] of the cheapest composition, not a number where there is none [money/kg].
        shares: [N, n] of it [kg/kg].
        held: [N] what the formula that is held would cost, not a number where a material of it is
            missing [money/kg].
        anew: how many had to be solved from cold, their ionic strength being another.
    """

    first: int
    prices: Floats
    costs: Floats
    shares: Floats
    held: Floats
    anew: int

    @property
    def regret(self) -> Floats:
        """[N] what holding the formula costs more than the cheapest [money/kg]."""
        return self.held - self.costs


@dataclass(frozen=True, slots=True)
class Sweep:
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

    def blocks(self, first: int = 0) -> range:
        """Numbers of the first scenario of every block from one on."""
        return range(first - first % BLOCK, self.question.count, BLOCK)


def sweep_of(bench: Bench, question: Question, held: Composition | None = None) -> Sweep | None:
    """Put a question to a bench; ``None`` where no composition keeps its rules today.

    Args:
        bench: shelf and rules.
        question: what is varied.
        held: the formula to hold; without it today's cheapest.

    Raises:
        KeyError: when the question or the formula names a material that is not on the shelf.
    """
    for name in (
        *question.prices,
        *question.missing,
        *(n for one in question.history for n in one),
    ):
        bench.item(name)
    outcome, _, _ = least(bench)
    if not isinstance(outcome, Optimal):
        return None
    today = composed(bench, outcome)
    return Sweep(bench, question, held or today, ionic_strength(bench, today))


def worked_out(
    sweep: Sweep, first: int = 0, workers: int = 1, cluster: str | None = None
) -> Iterator[Block]:
    """Every block from one on, in order.

    Args:
        sweep: the question.
        first: number of the first scenario to be worked out; its whole block is.
        workers: processes on this machine.
        cluster: address of a Dask scheduler, or "local" for one that is started here.
    """
    work = partial(block, sweep)
    if cluster is not None:
        yield from _on_cluster(work, sweep.blocks(first), workers, cluster)
    elif workers > 1:
        yield from _by_processes(work, sweep.blocks(first), workers)
    else:
        yield from map(work, sweep.blocks(first))


def block(sweep: Sweep, first: int) -> Block:
    """One block of scenarios."""
    bench, question = sweep.bench, sweep.question
    numbers = range(first, min(first + BLOCK, question.count))
    scenarios = question.scenarios(bench, numbers)
    costs = np.full(len(scenarios), np.nan)
    shares = np.zeros((len(scenarios), len(bench.shelf)))
    if only_capped(bench):
        shelf = Shelf(bench, sweep.strength)
        for place, scenario in enumerate(scenarios):
            found = shelf.cheapest(scenario)
            if found is not None:
                costs[place], shares[place] = found
        astray = _astray(sweep, costs, shares)
    else:  # prices stand in rows that no cost tells: each is asked from cold
        astray = np.ones(len(scenarios), dtype=np.bool_)
    for place in map(int, np.flatnonzero(astray)):
        anew = settled_anew(bench, scenarios[place])
        costs[place] = np.nan if anew is None else anew[0]
        shares[place] = 0.0 if anew is None else shares_of(bench, anew[1])
    prices = np.array([one.prices for one in scenarios])
    return Block(first, prices, costs, shares, _held(sweep, scenarios, prices), int(astray.sum()))


def _astray(sweep: Sweep, costs: Floats, shares: Floats) -> "np.ndarray[Any, np.dtype[np.bool_]]":
    """Which of them break a rule on pH at their own ionic strength, or found no composition."""
    bench, said = sweep.bench, acidity_of(sweep.bench.brief)
    missed = np.isnan(costs)
    if said is None:
        return np.zeros(len(costs), dtype=np.bool_)
    frame, there = frame_of(bench), np.flatnonzero(~missed)
    if len(there):
        ph, _ = predict_many(frame.materials, bench.substances, shares[there], said.dilution)
        for rule in bench.brief.rules:
            if rule.corrected:
                missed[there] |= _broken(rule, ph, shares[there], frame.index)
    return missed


def _broken(
    rule: Any, ph: Floats, shares: Floats, index: Any
) -> "np.ndarray[Any, np.dtype[np.bool_]]":
    low = -np.inf if rule.low is None else rule.low - PH_TOLERANCE
    high = np.inf if rule.high is None else rule.high + PH_TOLERANCE
    asked = np.ones(len(ph), dtype=np.bool_)
    if rule.when is not None:
        asked = shares[:, index[rule.when]] > 1e-9
    return np.asarray(asked & ((ph < low) | (ph > high)))


def _held(sweep: Sweep, scenarios: list[Scenario], prices: Floats) -> Floats:
    costs = prices @ shares_of(sweep.bench, sweep.held)
    used = {name for name, share in sweep.held.parts.items() if share > 0.0}
    gone = np.array([bool(used & one.missing) for one in scenarios])
    return np.where(gone, np.nan, costs)


def _by_processes(work: "Callable[[int], Block]", firsts: range, workers: int) -> Iterator[Block]:
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        yield from pool.map(work, firsts)


def _on_cluster(
    work: "Callable[[int], Block]", firsts: range, workers: int, address: str
) -> Iterator[Block]:
    from distributed import Client, LocalCluster

    if address == "local":
        with (
            LocalCluster(
                n_workers=workers, threads_per_worker=1, dashboard_address=None
            ) as cluster,
            Client(cluster) as client,
        ):
            yield from client.gather(client.map(work, firsts))
        return
    with Client(address) as client:
        yield from client.gather(client.map(work, firsts))
