"""What an answer that holds for other lots takes beside the plain one, and what drawing lots takes.

    python tests/benchmarks/bench_robust.py

Prints, for each example, the processor time of ``cheapest --sure 99%`` and ``--sure always`` over
that of ``cheapest`` (wanted: at most 5), as a maker asks for them, start and explanations included;
what finding the composition takes alone over finding the plain one; and the time that 10,000 lots
take to be drawn and judged by every rule (wanted: at most 1 s). Ratios of one run, with the load.
"""

import os
import subprocess
import sys
from functools import partial
from pathlib import Path
from statistics import median
from time import process_time

from barwright import Bench, cheapest, drawn, read_bench, surely, tried

EXAMPLES = Path(__file__).parents[2] / "examples"
TIMES = 3


def spent(*words: str) -> float:
    """Processor time of a command [s]."""
    before = os.times()
    subprocess.run(
        [sys.executable, "-m", "barwright.cli", *words], stdout=subprocess.DEVNULL, check=True
    )
    after = os.times()
    return sum(after[2:4]) - sum(before[2:4])


def taken(ask) -> float:
    """Processor time of a call [s]."""
    start = process_time()
    ask()
    return process_time() - start


def load() -> None:
    """Print how busy the machine is."""
    print("load", *(f"{one:.1f}" for one in os.getloadavg()))


def asked(name: str) -> None:
    """Print what a maker waits for."""
    folder = str(EXAMPLES / name)
    plain = median(spent("cheapest", folder) for _ in range(TIMES))
    for share in ("99%", "always"):
        sure = median(spent("cheapest", folder, "--sure", share) for _ in range(TIMES))
        print(f"{name}, --sure {share}: {sure:.2f} s, {sure / plain:.1f} x the plain answer")


def found(bench: Bench) -> None:
    """Print what finding a composition takes, and what lots of it take."""
    composition = cheapest(bench).composition
    alone = median(taken(lambda: cheapest(bench)) for _ in range(TIMES))
    for share in (0.99, 1.0):
        sure = taken(partial(surely, bench, share))
        print(f"  found for {share:.0%} of lots: {sure / alone:.1f} x found for typical ones")
    once = taken(lambda: tried(bench.brief.rules, drawn(bench, composition, seed=77)))
    print(f"  10,000 lots drawn and judged by every rule: {once:.3f} s")


def main() -> None:
    load()
    for name in ("oily-hair", "dry-hair"):
        asked(name)
        found(read_bench(EXAMPLES / name))
    load()


if __name__ == "__main__":
    main()
