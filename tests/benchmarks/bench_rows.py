"""Building rows for 5,000 materials and 500 rules, against solving them: a ratio in one run.

    python tests/benchmarks/bench_rows.py

Wanted: building takes no longer than HiGHS takes to solve.
"""

import random
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from barwright.constraints.model.rule import Counted, Pick, Selector
from barwright.constraints.rules.ratio import Ratio
from barwright.constraints.rules.rows import rows_of
from barwright.constraints.rules.share import Share
from barwright.solver.cheapest.cheapest import program_of
from barwright.solver.program.session import Session
from blends import bench, material, said

MATERIALS, RULES, SUBSTANCES, CLASSES = 5_000, 500, 400, 40


def large_bench(seed: int = 1):
    """A bench no maker has: every rule counts a class or a substance over the whole shelf."""
    draw = random.Random(seed)
    names = [f"Substance {k}" for k in range(SUBSTANCES)]
    classes = {inci: (f"class {draw.randrange(CLASSES)}",) for inci in names}
    shelf = [material(f"m{i}", dict.fromkeys(draw.sample(names, 5), 0.2)) for i in range(MATERIALS)]
    prices = [draw.uniform(1, 40) for _ in range(MATERIALS)]
    rules = [_rule(draw, number) for number in range(RULES)]
    return bench(shelf, prices, rules, classes)


def _rule(draw: random.Random, number: int):
    of, to = (
        Selector(Pick.CLASS, f"class {draw.randrange(CLASSES)}", Counted.ACTIVE) for _ in range(2)
    )
    if number % 5 == 0:
        return Ratio(**said(f"ratio {number}", unit=""), low=0.05, high=None, of=of, to=to)
    if number % 2:
        one = Selector(Pick.SUBSTANCE, f"Substance {draw.randrange(SUBSTANCES)}", Counted.ACTIVE)
        return Share(**said(f"share {number}"), low=None, high=draw.uniform(0.004, 0.02), of=one)
    return Share(**said(f"share {number}"), low=draw.uniform(0, 0.012), high=None, of=of)


def main() -> None:
    made = large_bench()
    started = time.perf_counter()
    rows = rows_of(made)
    built = time.perf_counter() - started
    program = program_of(rows, [item.price for item in made.shelf])
    session = Session(program)
    started = time.perf_counter()
    outcome = session.solve()
    solved = time.perf_counter() - started
    entries = sum(len(row.columns) for row in rows.rows)
    print(f"{len(rows.rows)} rows, {entries} entries, {type(outcome).__name__}")
    print(f"building / solving: × {built / solved:.2f} (wanted 1)")


if __name__ == "__main__":
    main()
