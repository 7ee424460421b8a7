"""``barwright cheapest``: the cheapest composition that keeps every rule, and why."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import Bench
from ..finding.certificate import write_certificate
from ..kit.answer import answered
from ..kit.exit import Exit
from ..kit.options import BenchPath, Format, Shown
from ..kit.patience import patience
from ..kit.writing import put
from ..refusal.leaving import leave_without_answer

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.cheapest.cheapest import Finding
    from ...solver.choices.choices import Other
    from ...solver.prices.worth import Worth
    from ..finding.view import Shown as All


def command(
    bench_path: BenchPath,
    *,
    shown: Shown = Format.TABLE,
    proof: Annotated[
        bool, typer.Option("--proof/--no-proof", help="Prove the answer in exact arithmetic.")
    ] = True,
    alternatives: Annotated[
        int, typer.Option(metavar="N", min=0, max=9, help="Also show N others that differ most.")
    ] = 0,
    within: Annotated[
        str, typer.Option(metavar="SHARE", help="What those may cost more, as 2%.")
    ] = "2%",
    write: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Also write the composition as a formula file."),
    ] = None,
    certificate: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Also write the proof, for `barwright verify`."),
    ] = None,
    overwrite: Annotated[
        bool, typer.Option("--overwrite", help="Let files that are there be replaced.")
    ] = False,
    second_opinion: Annotated[
        bool, typer.Option("--second-opinion", help="Put the question to a second solver too.")
    ] = False,
    time_limit: Annotated[
        float, typer.Option(metavar="SECONDS", min=0.001, help="Give up after so long.")
    ] = 60.0,
) -> None:
    """Propose the cheapest composition that keeps every rule of BENCH, and explain it."""
    from ...constraints.bench.opening import read_bench
    from ...solver.cheapest.cheapest import Refusal, cheapest

    premium = _premium(within)
    _refuse_contradiction(certificate, proof=proof)
    bench = read_bench(bench_path)
    with patience("looking for the cheapest composition"):
        found = cheapest(bench, time_limit)
    if isinstance(found, Refusal):
        leave_without_answer(bench, found, shown, certificate, overwrite=overwrite)
    everything = _everything(bench, found, proof=proof, count=alternatives, premium=premium)
    agreed = _second_opinion(everything.finding, time_limit) if second_opinion else None
    if write is not None:
        _write(bench, everything.finding, write, overwrite=overwrite)
    if certificate is not None and everything.worth is not None:
        finding = everything.finding
        write_certificate(certificate, bench, finding, everything.worth.proof, overwrite=overwrite)
    _show(bench, everything, shown, agreed)
    if everything.worth is not None and _is_our_failure(everything.worth):
        raise typer.Exit(Exit.OUR_FAILURE)


def _is_our_failure(worth: "Worth") -> bool:
    """Whether a proof came to nothing; a gap, or rules that only rounding parts, are findings."""
    from ...solver.proof.proof import ProvedOptimal, Unproved

    return isinstance(worth.proof, ProvedOptimal | Unproved) and not worth.proved


def _premium(text: str) -> float:
    from ...constraints.values.problem import refuse
    from ...constraints.values.units import Dimension, Misread, parse

    read = parse(text, Dimension.SHARE)
    if isinstance(read, Misread) or read < 0:
        refuse("--within", text, "a share that is not below 0, as 2%")
    return read


def _refuse_contradiction(certificate: Path | None, *, proof: bool) -> None:
    from ...constraints.values.problem import refuse

    if certificate is not None and not proof:
        refuse("--certificate", "--no-proof", "a proof, to be written down")


def _everything(
    bench: Bench, finding: "Finding", *, proof: bool, count: int, premium: float
) -> "All":
    """A finding with its proof, its prices, its choices and what else could be made."""
    from ..finding.view import Shown as All

    worth, found = None, None
    others: tuple[Other, ...] = ()
    if proof:
        from ...solver.choices.choices import other_choices
        from ...solver.prices.worth import proved, with_entries
        from ...solver.prices.worth import worth as worth_of

        with patience("proving it"):
            finding, proof_found = proved(bench, finding)
            worth = worth_of(finding, proof_found)
            finding = with_entries(finding, worth)
            others = other_choices(bench, finding) if finding.conditional else ()
    if count:
        from ...solver.choices.alternatives import alternatives

        with patience("looking for what differs most"):
            found = alternatives(bench, finding, count, premium)
    return All(finding, worth, others, found)


def _show(bench: Bench, everything: "All", shown: Format, agreed: bool | None) -> None:
    def view(console: "Console") -> None:
        from ..finding.view import show_finding
        from ..kit.screen import paragraph

        show_finding(console, bench, everything)
        if agreed:
            paragraph(console, "A second solver, asked the same, finds the same cost.")

    answered("cheapest", shown, lambda: _form(bench, everything, agreed), view)


def _form(bench: Bench, everything: "All", agreed: bool | None) -> dict[str, object]:
    from ..finding.as_json import alternatives_form, others_form, proof_form, worth_form
    from ..kit.as_json import finding_form

    finding, worth = everything.finding, everything.worth
    return {
        **finding_form(bench, finding),
        "other_choices": others_form(everything.others),
        "alternatives": alternatives_form(everything.alternatives),
        **({} if worth is None else {"exact": worth_form(worth)}),
        **proof_form(
            bench,
            finding.program,
            finding.rows,
            None if worth is None else worth.proof,
            proved=worth is not None and worth.proved,
        ),
        **({} if agreed is None else {"second_opinion_agrees": agreed}),
    }


def _second_opinion(finding: "Finding", time_limit: float) -> bool:
    from ...solver.program.outcome import Optimal
    from ...solver.program.session import second_opinion
    from ..kit.screen import complain

    other = second_opinion(finding.program, time_limit)
    if isinstance(other, Optimal) and abs(other.cost - finding.cost) <= 1e-5 * max(1, finding.cost):
        return True
    said = f"{other.cost:.6f}" if isinstance(other, Optimal) else type(other).__name__.lower()
    complain([f"A second solver disagrees: {said}, against {finding.cost:.6f}. Trust neither."])
    raise typer.Exit(Exit.OUR_FAILURE)


def _write(bench: Bench, finding: "Finding", path: Path, *, overwrite: bool) -> None:
    from ...constraints.bench.writing import formula_text

    because = f"cheapest by the brief, {finding.cost:.4f} {bench.brief.currency}/kg"
    text = formula_text(finding.composition, because=because, source=bench.folder)
    put(path, text, overwrite=overwrite)
