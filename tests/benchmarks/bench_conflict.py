"""How long all minimal clashes of a brief take, against one solve for each of its rules.

Run as a script; prints both times and their ratio, which should stay below 5. The brief is made up:
its figures are plausible, not measured.
"""

import sys
from collections.abc import Callable
from dataclasses import replace
from math import inf
from statistics import median
from time import perf_counter

from barwright.constraints.model.row import WHOLE, Row
from barwright.solver.infeasible.conflict import clashes
from barwright.solver.program.outcome import Program
from barwright.solver.program.relaxed import loosened
from barwright.solver.program.session import Session, solve

ROUNDS = 15

# columns: 0-5 surfactants (active shares below), 6-9 waxes, 10-13 oils, 14-17 powders, 18 water,
# 19-20 conditioners, 21-23 preservatives; then the choices of 21, 22 and 23
ACTIVE = (0.95, 0.85, 0.70, 0.40, 0.35, 0.92)
SHARES = 24
CHOICES = 3


def brief(cost: float, paste: float) -> Program:
    """Two dozen rules, which hold together at a cost of 6 and a paste share of 0.2."""
    rows = [Row(WHOLE, "", tuple(range(SHARES)), (1.0,) * SHARES, 1.0, 1.0)]
    rows += [
        Row("active surfactant", "share", tuple(range(6)), ACTIVE, 0.40, 0.60),
        share("mild part", range(2, 6), 0.25, inf),
        share("paste surfactants", (3, 4), paste, inf),
        share("strong surfactants", (0, 1), 0.0, 0.10),
        share("waxes", range(6, 10), 0.16, 0.30),
        share("oils", range(10, 14), 0.08, 0.12),
        Row("wax to oil", "at least", tuple(range(6, 14)), (1.0,) * 4 + (-2.5,) * 4, 0.0, inf),
        share("powders", range(14, 18), 0.06, 0.20),
        share("clay", (14, 15), 0.02, 0.08),
        share("starch", (16, 17), 0.02, 0.10),
        Row("water", "share", (2, 3, 4, 18), (0.30, 0.60, 0.65, 1.0), -inf, 0.16),
        share("added water", (18,), 0.02, 0.10),
        share("conditioners", (19, 20), 0.03, 0.08),
        share("quat by law", (19,), -inf, 0.05),
        share("butter", (10, 11), 0.03, inf),
        share("liquid oil", (12, 13), 0.03, 0.06),
        share("cetyl alcohol", (6,), 0.04, inf),
        share("stearic acid", (7,), -inf, 0.10),
        share("solids for pressing", (0, 1, 5, *range(6, 10), *range(14, 18)), 0.62, inf),
        Row("cost", "cap", tuple(range(SHARES)), costs()[:SHARES], -inf, cost),
        *(row for k in range(CHOICES) for row in dose(k)),
        Row("one preservative", "count", (24, 25, 26), (1.0,) * 3, 1.0, 1.0),
    ]
    return Program(
        costs=costs(),
        lower=(0.0,) * (SHARES + CHOICES),
        upper=(inf,) * SHARES + (1.0,) * CHOICES,
        whole=(False,) * SHARES + (True,) * CHOICES,
        rows=tuple(rows),
    )


def share(rule: str, columns: range | tuple[int, ...], low: float, high: float) -> Row:
    return Row(rule, "share", tuple(columns), (1.0,) * len(columns), low, high)


def dose(k: int) -> tuple[Row, Row]:
    rule, columns = f"dose of preservative {k}", (21 + k, SHARES + k)
    return (
        Row(rule, "at least", columns, (1.0, -0.004), 0.0, inf),
        Row(rule, "at most", columns, (1.0, -0.01), -inf, 0.0),
    )


def costs() -> tuple[float, ...]:
    prices = [6.0, 7.5, 9.0, 3.5, 4.0, 11.0, 4.2, 2.1, 5.5, 7.0, 8.0, 9.5, 3.8, 6.5, 1.8, 2.4]
    prices += [1.6, 2.9, 0.1, 12.0, 15.0, 9.0, 14.0, 22.0]
    return (*prices, *(0.0,) * CHOICES)


def seconds(task: Callable[[], object]) -> float:
    """Median time of a task [s]."""
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        task()
        times.append(perf_counter() - start)
    return median(times)


def cold_each(program: Program) -> None:
    """One solve for each rule, with the rule left out, from nothing."""
    for rule in rules(program):
        solve(replace(program, rows=tuple(row for row in program.rows if row.rule != rule)))


def warm_each(program: Program) -> None:
    """The same from one program held in the solver."""
    session = Session(program)
    for rule in rules(program):
        rows = enumerate(program.rows)
        session.solve_with([(i, loosened(row)) for i, row in rows if row.rule == rule])


def rules(program: Program) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row.rule for row in program.rows if row.rule != WHOLE))


def line(text: str) -> None:
    """Put a line on the screen."""
    sys.stdout.write(text + "\n")


def report(name: str, program: Program, most: int) -> None:
    """Time the clashes of one brief against one solve for each rule."""
    found = clashes(program, most=most, prove=False)
    sizes = [len(clash.rules) for clash in found.found]
    line(f"{name}: {len(rules(program))} rules, clashes of {sizes} rules")
    line(f"  all of them: {found.complete}; solver asked {found.asked} times")
    enumerated = seconds(lambda: clashes(program, most=most, prove=False))
    proved = seconds(lambda: clashes(program, most=most))
    for way, task in (("cold", cold_each), ("warm", warm_each)):
        base = seconds(lambda task=task: task(program))
        line(
            f"  {enumerated * 1e3:6.1f} ms, {enumerated / base:5.2f} times one {way} solve a rule;"
            f" with exact certificates {proved * 1e3:6.1f} ms, {proved / base:5.2f} times"
        )


def main() -> None:
    """Print the ratios."""
    report("a limit too many, all clashes", brief(cost=6.0, paste=0.25), most=99)
    report("a cost cap too low, the smallest three", brief(cost=4.6, paste=0.2), most=3)
    report("the same and a limit too many, the smallest five", brief(cost=4.6, paste=0.25), most=5)


if __name__ == "__main__":
    main()
