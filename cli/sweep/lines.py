"""Scenarios written as a table while they are worked out, and taken up again where it ends."""

import csv
import io
from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.values.problem import refuse
from ..kit.workbook import harmless
from .limit_asked import SIDES
from .marking import mark_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from ...constraints.model.lots import Floats
    from ...solver.scenarios.sweep import Block, Sweep

FOUND, NONE, UNTOLD = "found", "none", "not told"
"""Whether there is a composition."""

ALKALINITY = "alkalinity"


def heading(sweep: "Sweep") -> list[str]:
    """The first line: what each column holds. Its last name tells one question from another."""
    return [
        "scenario",
        "composition",
        "cost",
        "held",
        "held breaks",
        *(f"price {name}" for name in varied_of(sweep)),
        *(f"limit {one.rule}, {_WORDS[one.side]}" for one in sweep.question.limits),
        *(f"lot {name}, {what}" for name, what in _figures_of_lots(sweep)),
        *sweep.bench.material_names,
        f"question {mark_of(sweep)}",
    ]


_WORDS = {side: word for word, side in SIDES.items()}


def varied_of(sweep: "Sweep") -> tuple[str, ...]:
    """Materials whose price differs from scenario to scenario, in shelf order."""
    question = sweep.question
    named = {*question.prices, *(name for one in question.history for name in one)}
    return tuple(name for name in sweep.bench.material_names if name in named)


def _figures_of_lots(sweep: "Sweep") -> "Iterator[tuple[str, str]]":
    """Material and what of it differs from lot to lot, as a lot's figures stand."""
    for name in sweep.question.lots:
        for what in (*sweep.bench.material(name).contents, ALKALINITY):
            yield name, what


def lines_of(sweep: "Sweep", block: "Block") -> str:
    """A block as lines; figures as they are, to the last bit."""
    numbers = range(block.first, block.first + len(block.costs))
    lots = sweep.question.lots_laid(sweep.bench, numbers)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for row, number in enumerate(numbers):
        writer.writerow([number, *_line(sweep, block, lots, row), ""])
    return out.getvalue()


def _line(
    sweep: "Sweep", block: "Block", lots: "Mapping[str, Floats]", row: int
) -> "Iterator[str]":
    cost, names = float(block.costs[row]), sweep.bench.material_names
    yield UNTOLD if block.untold[row] else NONE if isnan(cost) else FOUND
    yield _figure(cost)
    yield _figure(float(block.held[row]))
    rules = zip(sweep.bench.brief.rules, block.broken[row], strict=True)
    yield str(harmless("; ".join(rule.id for rule, is_broken in rules if is_broken)))
    yield from (_figure(float(block.prices[row, names.index(one)])) for one in varied_of(sweep))
    yield from (_figure(float(place)) for place in block.limits[row])
    for name in sweep.question.lots:
        yield from (_figure(float(one)) for one in lots[name][row])
    yield from (_figure(float(share)) for share in block.shares[row])


def _figure(value: float) -> str:
    return "" if isnan(value) else repr(value)


def first_line(sweep: "Sweep") -> str:
    """The heading as a line."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow(map(harmless, heading(sweep)))
    return out.getvalue()


def begun(path: Path, sweep: "Sweep") -> int:
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
    size, count = sweep.block, len(whole)
    count = count if count == sweep.question.count else count // size * size
    path.write_text("".join(lines[: 1 + count]), encoding="utf-8")
    return count


def kept(path: Path, sweep: "Sweep") -> "Iterator[Block]":
    """The blocks that a file holds already, as they were worked out."""
    import numpy as np

    from ...solver.scenarios.sweep import block_of

    width = len(sweep.bench.material_names)
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))[1:]
    for first in range(0, len(rows), sweep.block):
        some = rows[first : first + sweep.block]
        costs = np.array([float(row[2]) if row[2] else np.nan for row in some])
        shares = np.array([[float(cell) for cell in row[-1 - width : -1]] for row in some])
        untold = np.array([row[1] == UNTOLD for row in some])
        yield block_of(sweep, first, costs, shares, untold)
