"""Very many scenarios beside a hand-written loop, beside PuLP and CBC, and by two processes.

    python tests/benchmarks/bench_sweep.py [SCENARIOS]

Ratios of one run, in processor time where one process works and by the clock where two do, with the
load of the machine. Two processes are shown at so many scenarios and at five times as many, as the
second takes a while to start. The loop by hand asks the same warm programs for the same prices and
takes cost and shares, no more: no pH at its own ionic strength, no formula held, no blocks.
"""

import os
import sys
from dataclasses import replace
from pathlib import Path
from time import perf_counter, process_time

import numpy as np
from barwright import drawn, read_bench, tried
from barwright.constraints.rules.rows import rows_of
from barwright.solver.cheapest.cheapest import cheapest, program_of
from barwright.solver.program.opinion import second_opinion
from barwright.solver.scenarios.question import Question
from barwright.solver.scenarios.sweep import sweep_of, worked_out
from barwright.solver.scenarios.warm import Shelf

EXAMPLES = Path(__file__).parents[2] / "examples"
FEW = 60
"""Scenarios put to the slow ones, and scaled up."""


def by_hand(models, prices, names):
    """Warm re-solves with the solver's own calls."""
    found = []
    for row in prices:
        best = None
        for model, width, columns in models:
            costs = np.zeros(width)
            costs[: len(row)] = row
            model.changeColsCost(width, columns, costs)
            model.run()
            cost = model.getInfo().objective_function_value
            if model.getModelStatus().name == "kOptimal" and (best is None or cost < best[0]):
                best = cost, model.getSolution().col_value[: len(names)]
        found.append(best)
    return found


def spent():
    """Processor time of this process and of those it started and saw end [s]."""
    return sum(os.times()[:4])


def main():
    print("load", *(f"{one:.1f}" for one in os.getloadavg()))
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    bench = read_bench(EXAMPLES / "oily-hair")
    ranges = {
        n: (0.8 * p, 1.2 * p) for n, p in zip(bench.material_names, bench.prices, strict=True)
    }
    sweep = sweep_of(bench, Question(count, ranges))
    prices, _ = sweep.question.laid_out(bench, range(count))
    shelf = Shelf(bench, sweep.strength)
    models = [(one._model, one._width, one._every) for one in shelf.warm]
    list(worked_out(sweep_of(bench, Question(2, ranges))))  # what is loaded on first use is loaded

    start = process_time()
    by_hand(models, prices, bench.material_names)
    loop = process_time() - start
    start = process_time()
    list(worked_out(sweep))
    ours = process_time() - start
    print(f"{count:,} scenarios: {ours:.2f} s, {ours / loop:.2f} x a loop by hand")

    program = program_of(rows_of(bench, sweep.strength), bench.prices)
    start = spent()
    for row in prices[:FEW]:
        second_opinion(replace(program, costs=(*row.tolist(), *program.costs[len(row) :])))
    slow = (spent() - start) / FEW * count
    print(f"the same through PuLP and CBC, {len(program.rows)} rows: {slow / ours:.0f} x as long")

    for times in (1, 5):
        question = Question(count * times, ranges)
        asked = sweep_of(bench, question)
        start = perf_counter()
        blocks = list(worked_out(asked))
        one = perf_counter() - start
        start = perf_counter()
        many = list(worked_out(asked, workers=2))
        two = perf_counter() - start
        assert all(np.array_equal(a.costs, b.costs) for a, b in zip(blocks, many, strict=True))
        faster = f"{one / two:.2f} x as fast as one, its start included"
        print(f"two processes, {question.count:,} scenarios: {faster}")

    composition = cheapest(bench).composition
    start = process_time()
    lots = drawn(bench, composition)
    tried(bench.brief.rules, lots)
    print(f"{lots.count:,} lots drawn and judged by every rule: {process_time() - start:.2f} s")
    print("load", *(f"{one:.1f}" for one in os.getloadavg()))


if __name__ == "__main__":
    main()
