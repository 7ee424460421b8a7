"""Blocks of scenarios by several processes on this machine, or by a cluster; always in order."""

import signal
from collections.abc import Callable, Generator, Iterator, Mapping
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from concurrent.futures import Future

    from distributed import Client

Block = TypeVar("Block")


def by_processes(
    work: Callable[[int], Block], firsts: range, workers: int
) -> Generator[Block, None, None]:
    """Blocks by so many processes, of which the one that asks is one.

    Args:
        work: makes a block from the number of its first scenario; it can be sent to a process.
        firsts: these numbers.
        workers: how many, at least 2.
    """
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    pool = ProcessPoolExecutor(workers - 1, get_context("spawn"), initializer=_deaf)
    try:
        waiting = {first: pool.submit(work, first) for first in firsts}
        yield from _in_turn(work, waiting)
    finally:  # whoever leaves early waits for what is under way, not for all the rest
        pool.shutdown(cancel_futures=True)


def _in_turn(
    work: Callable[[int], Block], waiting: "Mapping[int, Future[Block]]"
) -> Iterator[Block]:
    """Blocks in order, each by whoever comes to it first.

    Who asks is one of the workers: others take a while to start, and nobody waits for them as long
    as there is something that none of them has begun.
    """
    here: dict[int, Block] = {}
    for first in waiting:
        while first not in here and not waiting[first].done():
            left = (one for one in waiting if one >= first and one not in here)
            mine = next((one for one in left if waiting[one].cancel()), None)
            if mine is None:
                break
            here[mine] = work(mine)
        yield here.pop(first) if first in here else waiting[first].result()


def _deaf() -> None:
    """Leave Ctrl-C to the process that asks."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def on_cluster(
    work: Callable[[int], Block], firsts: range, workers: int, address: str
) -> Generator[Block, None, None]:
    """Blocks by a Dask cluster.

    Args:
        work: makes a block from the number of its first scenario; it can be sent to a process.
        firsts: these numbers.
        workers: how many are started where the cluster is.
        address: of a scheduler, or "local" for one that is started here.
    """
    from distributed import Client, LocalCluster

    if address == "local":
        with (
            LocalCluster(
                n_workers=workers, threads_per_worker=1, dashboard_address=None
            ) as cluster,
            Client(cluster) as client,
        ):
            yield from _gathered(client, work, firsts)
        return
    with Client(address) as client:
        yield from _gathered(client, work, firsts)


def _gathered(client: "Client", work: Callable[[int], Block], firsts: range) -> Iterator[Block]:
    """Results in order, each as soon as it is there; what is not fetched is called off."""
    futures = client.map(work, firsts)
    try:
        for future in futures:
            yield future.result()
    finally:
        client.cancel(futures)
