"""A bench as a command opens it: what stands out in its files is pointed out on stderr."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...constraints.values.problem import Problems

if TYPE_CHECKING:
    from ...constraints.bench.wish import Start, Wish


def bench_in(folder: Path, shown: str, *, judged: bool = False) -> Bench:
    """The bench in a folder.

    Args:
        folder: its folder.
        shown: how the command's answer is asked for.
        judged: whether its rules are kept or judged without what is added at the bench.

    Raises:
        InputError: when something in it is wrong; it holds every problem there is.
    """
    from ...constraints.bench.opening import read_bench

    bench = read_bench(folder)
    remark(bench, shown, judged=judged)
    return bench


def start_in(folder: Path, formulas: Iterable[Path], wish: "Wish", shown: str) -> "Start":
    """A bench, formulas of it and what is to change.

    Raises:
        InputError: when something in them is wrong; it holds every problem there is.
    """
    from ...constraints.bench.opening import read_start

    start = read_start(folder, formulas, wish)
    remark(start.bench, shown, judged=True)
    return start


def remark(bench: Bench, shown: str, *, judged: bool) -> None:
    """Point out what stands out in the files of a bench, and what is not counted in its rules."""
    from ...constraints.bench.remarks import uncounted
    from .problems import problem_lines
    from .screen import complain

    remarks = (*bench.remarks, *(uncounted(bench.brief) if judged else ()))
    if remarks and shown == "json":
        from .as_json import dumped, problems_form

        complain([dumped("remarks", {"remarks": problems_form(Problems(remarks))})])
        return
    for one in remarks:
        complain([*problem_lines(one), ""])
