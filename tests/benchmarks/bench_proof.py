"""What exactness costs: proofs, prices and curves against solving in floats.

Run as a script; prints times and ratios. The blend is made up: 30 materials under 40 rows with
four yes/no choices, its figures drawn at random around a composition that keeps every row.
"""

import json
import random
import sys
from collections.abc import Callable
from dataclasses import replace
from math import inf
from statistics import median
from time import perf_counter
from typing import Any

from barwright.constraints.model.row import WHOLE, Row
from barwright.solver.program.outcome import Optimal, Program
from barwright.solver.program.session import Session, solve
from barwright.solver.proof.certificate import certificate, verify
from barwright.solver.proof.proof import prove
from barwright.solver.proof.proved import ProvedOptimal
from barwright.solver.sensitivity.curves import limit_curve
from barwright.solver.sensitivity.limits import Side
from barwright.solver.sensitivity.sensitivity import sensitivity

MATERIALS, ROWS, CHOICES = 30, 40, 4
DOSED = range(MATERIALS - 2 * CHOICES, MATERIALS)
RESOLVES = 1000


def blend(number: int) -> Program:
    """Blend number ``number``; the last eight materials are dosed, two to a choice of one."""
    chance = random.Random(number)
    parts = [chance.random() ** 3 for _ in range(MATERIALS)]
    for j in DOSED:
        parts[j] = 0.01 * sum(parts[: DOSED.start]) * (j % 4 == 0)
    shares = [part / sum(parts) for part in parts]
    rows = [Row(WHOLE, "", tuple(range(MATERIALS)), (1.0,) * MATERIALS, 1.0, 1.0)]
    rows += [row for k in range(CHOICES) for row in dose(k)]
    rows += [one_of(k) for k in range(0, CHOICES, 2)]
    rows += [around(shares, i, chance) for i in range(ROWS - len(rows))]
    prices = [round(chance.uniform(2, 40), 2) for _ in range(MATERIALS)]
    width = MATERIALS + CHOICES
    return Program(
        costs=(*prices, *(0.0,) * CHOICES),
        lower=(0.0,) * width,
        upper=(inf,) * MATERIALS + (1.0,) * CHOICES,
        whole=(False,) * MATERIALS + (True,) * CHOICES,
        rows=tuple(rows),
    )


def dose(k: int) -> tuple[Row, Row]:
    """The material of choice ``k`` at 0.3 to 1.2 % if used, and at nothing if not."""
    j, u = DOSED.start + 2 * k, MATERIALS + k
    return (
        Row(f"dose {k}", "at least", (j, u), (1.0, -0.003), 0.0, inf),
        Row(f"dose {k}", "at most", (j, u), (1.0, -0.012), -inf, 0.0),
    )


def one_of(k: int) -> Row:
    """Exactly one of two choices."""
    return Row(f"one of {k}", "count", (MATERIALS + k, MATERIALS + k + 1), (1.0, 1.0), 1.0, 1.0)


def around(shares: list[float], i: int, chance: random.Random) -> Row:
    """A share rule that the composition keeps with some room."""
    columns = sorted(chance.sample(range(DOSED.start), chance.randint(3, DOSED.start - 4)))
    values = [round(chance.uniform(0.05, 1), 3) for _ in columns]
    middle = sum(a * shares[j] for j, a in zip(columns, values, strict=True))
    low = round(middle * chance.uniform(0.7, 0.97), 4) if chance.random() < 0.7 else -inf
    high = round(middle * chance.uniform(1.03, 1.3), 4)
    return Row(f"rule {i}", "share", tuple(columns), tuple(values), low, high)


def timed(work: Callable[[], Any], rounds: int = 5) -> tuple[float, Any]:
    """Median time of some runs [s], and what the work gave."""
    times, found = [], None
    for _ in range(rounds):
        begun = perf_counter()
        found = work()
        times.append(perf_counter() - begun)
    return median(times), found


def say(what: str, seconds: float, against: float, other: str) -> None:
    """One line: a time, and its ratio to another."""
    sys.stdout.write(
        f"{what:<34}{seconds * 1e3:10.1f} ms {seconds / against:10.3f} times {other}\n"
    )


def bench(program: Program) -> None:
    """All figures of one blend."""
    one, answer = timed(lambda: solve(program))
    if not isinstance(answer, Optimal):
        sys.stdout.write("this blend has no answer\n")
        return
    say("one solve by PuLP and HiGHS", one, one, "itself")
    proving, proof = timed(lambda: prove(program, answer))
    if not isinstance(proof, ProvedOptimal):
        sys.stdout.write(f"not proved: {proof}\n")
        return
    say(f"proof ({len(proof.tree)} parts of the choices)", proving, one, "one solve")
    text = json.dumps(certificate(program, proof))
    checking, _ = timed(lambda: verify(json.loads(text), program))
    say(f"check of its {len(text) // 1024} kB certificate", checking, proving, "its proof")
    pricing, found = timed(lambda: sensitivity(program, proof), rounds=1)
    asked = 2 * len(found.limits) + 2 * len(found.columns)
    say(f"all {asked} one-sided prices", pricing, asked * one, "a solve for each")
    bench_curve(program, proof)


def bench_curve(program: Program, proof: ProvedOptimal) -> None:
    """A curve with its exact corners, against a grid of solves."""
    row = next(i for i, row in enumerate(program.rows) if row.part == "share" and row.low > 0)
    low = program.rows[row].low
    ends = 0.5 * low, 1.05 * low
    drawing, curve = timed(lambda: limit_curve(program, proof, (row, Side.LOW), *ends), rounds=3)
    grid = [ends[0] + (ends[1] - ends[0]) * k / RESOLVES for k in range(RESOLVES)]

    def moved(limit: float) -> Row:
        return replace(program.rows[row], low=limit)

    def anew() -> None:
        for limit in grid:
            rows = (*program.rows[:row], moved(limit), *program.rows[row + 1 :])
            solve(replace(program, rows=rows))

    def warm() -> None:
        session = Session(program)
        for limit in grid:
            session.solve_with([(row, moved(limit))])

    fresh, _ = timed(anew, rounds=1)
    kept, _ = timed(warm, rounds=1)
    say(f"exact curve, {len(curve.points)} corners", drawing, fresh, f"{RESOLVES} solves by PuLP")
    say("", drawing, kept, f"{RESOLVES} solves kept warm")


if __name__ == "__main__":
    for number in (1, 2, 3):
        sys.stdout.write(f"blend {number}\n")
        bench(blend(number))
