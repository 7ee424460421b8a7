"""``barwright cheapest``: the cheapest composition that keeps every rule, and why."""

from pathlib import Path
from typing import Annotated, NoReturn

import typer

from ..constraints.brief import Bench
from ..solver.cheapest import Finding, Refusal
from .exit import Exit
from .loading import BenchPath, Format, Shown, bench_or_leave, leave
from .patience import patience


def command(
    bench_path: BenchPath,
    *,
    shown: Shown = Format.TABLE,
    write: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Also write the composition as a formula file."),
    ] = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Let --write replace a file that is there.")
    ] = False,
    second_opinion: Annotated[
        bool, typer.Option("--second-opinion", help="Put the question to a second solver too.")
    ] = False,
    time_limit: Annotated[
        float | None, typer.Option(metavar="SECONDS", min=0.001, help="Give up after so long.")
    ] = None,
) -> None:
    """Propose the cheapest composition that keeps every rule of BENCH, and explain it."""
    from ..solver.cheapest import cheapest

    bench = bench_or_leave(bench_path, shown)
    with patience("looking for the cheapest composition"):
        found = cheapest(bench, time_limit)
    if isinstance(found, Refusal):
        refuse(bench, found, shown)
    agreed = _second_opinion(found, time_limit) if second_opinion else None
    if write is not None:
        _write(bench, found, write, overwrite=overwrite)
    _show(bench, found, shown, agreed)


def _show(bench: Bench, finding: Finding, shown: Format, agreed: bool | None) -> None:
    if shown is Format.JSON:
        from .json_form import dumped, finding_form

        opinion = {} if agreed is None else {"second_opinion_agrees": agreed}
        typer.echo(dumped("cheapest", finding_form(bench, finding) | opinion))
        return
    from .finding_view import show_finding
    from .screen import paragraph, stdout

    console = stdout()
    show_finding(console, bench, finding)
    if agreed:
        paragraph(console, "A second solver, asked the same, finds the same cost.")


def _second_opinion(finding: Finding, time_limit: float | None) -> bool:
    from ..solver.outcome import Optimal
    from ..solver.program import second_opinion
    from .screen import complain

    other = second_opinion(finding.program, time_limit)
    if isinstance(other, Optimal) and abs(other.cost - finding.cost) <= 1e-5 * max(1, finding.cost):
        return True
    said = f"{other.cost:.6f}" if isinstance(other, Optimal) else type(other).__name__.lower()
    complain([f"A second solver disagrees: {said}, against {finding.cost:.6f}. Trust neither."])
    raise typer.Exit(Exit.OUR_FAILURE)


def _write(bench: Bench, finding: Finding, path: Path, *, overwrite: bool) -> None:
    from ..constraints.problem import Problem, Problems
    from ..constraints.writing import formula_text, write_atomically

    because = f"cheapest by the brief, {finding.cost:.4f} {bench.brief.currency}/kg"
    text = formula_text(finding.composition, because=because, source=bench.folder)
    problem = write_atomically(path, text, replace=overwrite)
    if isinstance(problem, Problem):
        leave(Problems((problem,)))


def refuse(bench: Bench, refusal: Refusal, shown: Format) -> NoReturn:
    """Say why there is no composition and exit 3, or 1 where the solver gave up."""
    from ..solver.outcome import Infeasible
    from .refusal_view import show_refusal

    show_refusal(bench, refusal, shown)
    stopped = not isinstance(refusal.outcome, Infeasible)
    raise typer.Exit(Exit.OUR_FAILURE if stopped else Exit.NO_COMPOSITION)
