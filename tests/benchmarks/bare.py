"""The same question by hand: PuLP, numpy and rich, a program read from numbers, a printed table.

What ``barwright cheapest`` is measured against: no rules, no units, no checks, no explanation.
"""

import json
import sys
from pathlib import Path

import numpy as np
import pulp
from rich.console import Console
from rich.table import Table

data = json.loads(Path(sys.argv[1]).read_text(encoding="utf-8"))

costs = np.array(data["costs"])
problem = pulp.LpProblem("bar", pulp.LpMinimize)
x = [
    problem.add_variable(f"x{i:03d}", 0, high, pulp.LpInteger if whole else pulp.LpContinuous)
    for i, (high, whole) in enumerate(zip(data["upper"], data["whole"], strict=True))
]
problem += pulp.lpSum(float(c) * v for c, v in zip(costs, x, strict=True))
for columns, values, low, high in data["rows"]:
    terms = pulp.lpSum(a * x[j] for j, a in zip(columns, values, strict=True))
    if low == high:
        problem += terms == low
        continue
    if low is not None:
        problem += terms >= low
    if high is not None:
        problem += terms <= high
problem.solve(pulp.HiGHS(msg=False))
table = Table("material", "share", "cost")
for name, variable in zip(data["materials"], x, strict=False):
    if variable.value() > 1e-9:
        table.add_row(name, f"{variable.value():.2%}", f"{variable.value():.3f}")
Console().print(table)
