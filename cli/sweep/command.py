"""``barwright sweep``: the same brief under very many prices and shelves."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.problem import refuse
from ..kit.answer import answered
from ..kit.exit import Exit
from ..kit.opening import bench_in
from ..kit.options import All, BenchPath, Format, Shown
from ..kit.time_limit import command_deadline, stop_without_answer

if TYPE_CHECKING:
    from collections.abc import Iterator

    from rich.console import Console

    from ...solver.program.deadline import Deadline
    from ...solver.scenarios.sweep import Block, Sweep


def command(
    bench_path: BenchPath,
    *,
    prices: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME=RANGE", help='As "all=20%", "NAME=20%" or "NAME=9..14".'),
    ] = None,
    missing: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME=CHANCE", help="How often a material cannot be had."),
    ] = None,
    history: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Prices that were, one line a date (CSV).")
    ] = None,
    limit: Annotated[
        list[str] | None,
        typer.Option(
            metavar="RULE=RANGE", help='A limit that moves, as "protein min=0.1%..1%" or "=1%;2%".'
        ),
    ] = None,
    lots: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help='Draw another lot of it each time, "all" of each.'),
    ] = None,
    formula: Annotated[
        Path | None, typer.Option(metavar="FILE", help="The formula to hold; else the cheapest.")
    ] = None,
    formulas: Annotated[
        Path | None,
        typer.Option(metavar="FOLDER", help="Price every formula in it in each scenario too."),
    ] = None,
    count: Annotated[
        int | None, typer.Option(metavar="N", min=1, max=10_000_000, help="How many scenarios.")
    ] = None,
    seed: Annotated[int, typer.Option(metavar="N", min=0, help="Of what is drawn.")] = 1,
    write: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write every scenario as CSV; taken up where it ends."),
    ] = None,
    workers: Annotated[
        int, typer.Option(metavar="N", min=1, max=512, help="Processes on this machine.")
    ] = 1,
    cluster: Annotated[
        str | None, typer.Option(metavar="ADDRESS", help='A Dask scheduler, or "local".')
    ] = None,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """Work out the cheapest composition of BENCH over many prices, lots, shelves and limits."""
    from ...constraints.bench.opening import read_formula
    from ...solver.scenarios.formulas import held_formulas
    from ...solver.scenarios.summary import summary_of
    from ...solver.scenarios.sweep import sweep_of
    from .as_json import summary_form
    from .asking import Options, formulas_in, question_of
    from .formulas import formulas_form
    from .view import show_short_summary, show_summary

    deadline = command_deadline()
    bench = bench_in(bench_path, shown, judged=True)
    asked = Options(
        prices or (), missing or (), history, limit or (), lots or (), count=count, seed=seed
    )
    question = question_of(bench, asked)
    held = None if formula is None else read_formula(formula, bench)
    beside = () if formulas is None else formulas_in(formulas, bench)
    _refuse_cluster(cluster)
    sweep = sweep_of(bench, question, held, deadline=deadline)
    if sweep is None:
        if deadline.passed():
            stop_without_answer()
        from ..kit.screen import complain

        complain(["No composition keeps the rules today: barwright cheapest says why."])
        raise typer.Exit(Exit.NO_COMPOSITION)
    done = _blocks(sweep, write, (workers, cluster), deadline)
    found = summary_of(sweep, _told(done, question.count))
    many = held_formulas(bench, question, beside) if beside else ()

    def view(console: "Console", whole: bool) -> None:
        (show_summary if whole else show_short_summary)(console, bench, found, many)

    answered(
        "sweep",
        shown,
        lambda: {**summary_form(bench, found), **formulas_form(many)},
        view,
        whole=everything,
    )


def _refuse_cluster(cluster: str | None) -> None:
    if cluster is None:
        return
    import importlib.util

    if importlib.util.find_spec("distributed") is None:
        refuse("--cluster", cluster, "Dask beside it: pip install 'barwright[cluster]'")


def _blocks(
    sweep: "Sweep", write: Path | None, by: tuple[int, str | None], deadline: "Deadline"
) -> "Iterator[Block]":
    """Blocks in order, each written as soon as it is there."""
    from ...solver.scenarios.sweep import worked_out
    from .lines import begun, first_line, kept, lines_of

    if write is None:
        yield from worked_out(sweep, 0, *by, deadline)
        return
    done = begun(write, sweep)
    if done:
        yield from kept(write, sweep)
    with write.open("a", encoding="utf-8", newline="") as file:
        if not file.tell():
            file.write(first_line(sweep))
        if done < sweep.question.count:
            for block in worked_out(sweep, done, *by, deadline):
                file.write(lines_of(sweep, block))
                file.flush()
                yield block


def _told(blocks: "Iterator[Block]", count: int) -> "Iterator[Block]":
    """The same, with progress on a terminal."""
    for block in blocks:
        if sys.stderr.isatty():
            sys.stderr.write(f"\r{block.first + len(block.costs):,} of {count:,} scenarios")
            sys.stderr.flush()
        yield block
    if sys.stderr.isatty():
        sys.stderr.write("\n")
