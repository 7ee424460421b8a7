"""How long the plan of the example workshop takes, beside its program alone and one cheapest bar.

    python tests/benchmarks/bench_plan.py

Ratios of one run: eight bars, four weeks, sixty offers, to a gap of 1 %.
"""

from datetime import date
from pathlib import Path
from time import perf_counter

from barwright.constraints.bench.opening import read_bench, read_wanted
from barwright.solver.cheapest.cheapest import cheapest
from barwright.workshop.plan.asking import Terms
from barwright.workshop.plan.needs import Plan
from barwright.workshop.plan.plan import plan

EXAMPLES = Path(__file__).parents[2] / "examples"


def taken(act):
    start = perf_counter()
    found = act()
    return perf_counter() - start, found


def main():
    bench = read_bench(EXAMPLES / "oily-hair")
    cheapest(bench)  # what is loaded on first use is loaded
    one, _ = taken(lambda: cheapest(bench))
    reading, wanted = taken(lambda: read_wanted(EXAMPLES / "market-days.csv"))
    terms = Terms(date(2026, 11, 23), worth=0.5, storage=0.02)
    whole, found = taken(lambda: plan(wanted, terms))
    assert isinstance(found, Plan)
    print(f"plan {whole:.2f} s to a gap of {found.bought.gap:.2%}, reading {reading:.2f} s")
    print(f"plan / one cheapest bar: {whole / one:.0f}")


if __name__ == "__main__":
    main()
