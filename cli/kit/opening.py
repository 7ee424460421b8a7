"""A bench as a command opens it: what stands out in its files is pointed out on stderr."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...constraints.values.problem import Problems

if TYPE_CHECKING:
    from ...constraints.bench.wish import Start, Wish


def bench_in(folder: Path, shown: str) -> Bench:
    """The bench in a folder; ``shown`` is how the command's answer is asked for.

    Raises:
        InputError: when something in it is wrong; it holds every problem there is.
    """
    from ...constraints.bench.opening import read_bench

    bench = read_bench(folder)
    _remark(bench, shown)
    return bench


def start_in(folder: Path, formulas: Iterable[Path], wish: "Wish", shown: str) -> "Start":
    """A bench, formulas of it and what is to change.

    Raises:
        InputError: when something in them is wrong; it holds every problem there is.
    """
    from ...constraints.bench.opening import read_start

    start = read_start(folder, formulas, wish)
    _remark(start.bench, shown)
    return start


def _remark(bench: Bench, shown: str) -> None:
    from .problems import problem_lines
    from .screen import complain

    if bench.remarks and shown == "json":
        from .as_json import dumped, problems_form

        complain([dumped("remarks", {"remarks": problems_form(Problems(bench.remarks))})])
        return
    for one in bench.remarks:
        complain([*problem_lines(one), ""])
