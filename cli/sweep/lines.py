"""Scenarios written as a table while they are worked out, and taken up again where it ends."""

import csv
import hashlib
import io
from dataclasses import astuple, is_dataclass
from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.values.problem import refuse
from ..kit.workbook import harmless

if TYPE_CHECKING:
    from collections.abc import Iterator

    from ...solver.scenarios.sweep import Block, Sweep


def heading(sweep: "Sweep") -> list[str]:
    """The first line: what each column holds. Its last name tells one question from another."""
    names = sweep.bench.material_names
    varied = varied_of(sweep)
    asked = (sweep.question, *sweep.bench.brief.rules, sweep.held)
    told = [(type(one).__name__, _told(one)) for one in asked]
    mark = hashlib.sha256(repr((told, sweep.bench.prices)).encode()).hexdigest()[:12]
    return [
        "scenario",
        "cost",
        "held",
        *(f"price {name}" for name in varied),
        *names,
        f"question {mark}",
    ]


def _told(one: object) -> object:
    return astuple(one) if is_dataclass(one) and not isinstance(one, type) else None


def varied_of(sweep: "Sweep") -> tuple[str, ...]:
    """Materials whose price differs from scenario to scenario, in shelf order."""
    question = sweep.question
    named = {*question.prices, *(name for one in question.history for name in one)}
    return tuple(name for name in sweep.bench.material_names if name in named)


def lines_of(sweep: "Sweep", block: "Block") -> str:
    """A block as lines; figures as they are, to the last bit."""
    names = sweep.bench.material_names
    columns = [names.index(name) for name in varied_of(sweep)]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for row, cost in enumerate(block.costs.tolist()):
        prices, shares = block.prices[row], block.shares[row]
        figures = [cost, float(block.held[row])]
        figures += [float(prices[column]) for column in columns]
        figures += [float(share) for share in shares]
        writer.writerow([block.first + row, *map(_figure, figures), ""])
    return out.getvalue()


def _figure(value: float) -> str:
    return "" if isnan(value) else repr(value)


def first_line(sweep: "Sweep") -> str:
    """The heading as a line."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(map(harmless, heading(sweep)))
    return out.getvalue()


def begun(path: Path, sweep: "Sweep", block: int) -> int:
    """How many scenarios of this question a file holds already, in whole blocks; cut to them.

    Raises:
        InputError: when the file holds something else.
    """
    if not path.exists():
        return 0
    if not path.is_file():
        refuse(str(path), "a folder, a device or a pipe", "the name of a file")
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines(keepends=True)
    if not lines or lines[0] != first_line(sweep):
        refuse(str(path), "another question", "another name: what is there stays as it is")
    whole = [line for line in lines[1:] if line.endswith("\n")]
    count = len(whole) if len(whole) == sweep.question.count else len(whole) // block * block
    path.write_text("".join(lines[: 1 + count]), encoding="utf-8")
    return count


def kept(path: Path, sweep: "Sweep", block: int) -> "Iterator[Block]":
    """The blocks that a file holds already, as they were worked out."""
    import numpy as np

    from ...solver.scenarios.sweep import Block

    names = sweep.bench.material_names
    varied = varied_of(sweep)
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))[1:]
    for first in range(0, len(rows), block):
        some = rows[first : first + block]
        figures = np.array(
            [[float(cell) if cell else np.nan for cell in row[1:-1]] for row in some]
        )
        prices = np.tile(np.array(sweep.bench.prices), (len(some), 1))
        for place, name in enumerate(varied):
            prices[:, names.index(name)] = figures[:, 2 + place]
        shares = figures[:, 2 + len(varied) :]
        yield Block(first, prices, figures[:, 0], shares, figures[:, 1], 0)
