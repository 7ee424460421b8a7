"""``barwright cheapest``: the cheapest composition that keeps every rule, and why."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from ...constraints.model.brief import Bench
from ..finding.certificate import write_certificate
from ..kit.answer import answered
from ..kit.exit import Exit
from ..kit.opening import bench_in
from ..kit.options import All, BenchPath, Format, Shown
from ..kit.patience import patience
from ..kit.time_limit import command_deadline
from ..kit.writing import put
from ..refusal.leaving import leave_without_answer
from ..sureness.asking import (
    Asked,
    OutputAsked,
    PricesAsked,
    output_asked,
    prices_asked,
    share_asked,
)
from ..sureness.knowing import BookAsked, ReadingsAsked, knowing

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.answers.explained import Explained, Explaining
    from ...solver.cheapest.cheapest import Finding
    from ...solver.program.deadline import Deadline
    from ...solver.uncertain.informing import Informed
    from ...solver.uncertain.safety import Safe
    from ...solver.uncertain.sure import NotSure


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
    sure: Asked = None,
    output: OutputAsked = None,
    prices: PricesAsked = None,
    readings: ReadingsAsked = None,
    book: BookAsked = None,
    everything: All = False,
) -> None:
    """Propose the cheapest composition that keeps every rule of BENCH, and explain it."""
    from ...solver.answers.explained import Explaining, Wishes
    from ...solver.cheapest.cheapest import Refusal

    deadline = command_deadline()
    wishes = Wishes(
        proof=proof, others=alternatives, within=_premium(within), opinion=second_opinion
    )
    _refuse_contradiction(certificate, proof=proof)
    yearly = output_asked(output, sure)
    read = knowing(bench_in(bench_path, shown), readings or (), book)
    moving = prices_asked(prices or (), sure, read.bench)
    read = replace(read, within=replace(read.within, prices=moving))
    bench, safe = read.bench, None
    share = share_asked(sure, bench)
    if share is not None:
        safe = _safe(read, share, shown, deadline)
        bench = safe.sure.bench
    with patience("looking for the cheapest composition"):
        found = (
            Explaining.of(bench, wishes, deadline)
            if safe is None
            else Explaining(bench, safe.sure.finding, wishes, deadline)
        )
    if isinstance(found, Refusal):
        leave_without_answer(
            bench,
            found,
            shown,
            certificate,
            overwrite=overwrite,
            whole=everything,
            deadline=deadline,
        )
    if write is not None:
        _write(bench, found.finding, write, overwrite=overwrite)
    certified = certificate is None or found.proof is None
    if certificate is not None and found.proof is not None:
        certified = write_certificate(
            certificate, bench, found.finding, found.proof, overwrite=overwrite
        )
    whole = everything or alternatives > 0
    _show(bench, found, shown, safe, read, whole=whole, yearly=yearly)
    if found.is_unproved:
        raise typer.Exit(Exit.OUR_FAILURE)
    if not certified:
        raise typer.Exit(Exit.STOPPED)


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


def _safe(read: "Informed", share: float, shown: Format, deadline: "Deadline") -> "Safe":
    """The cheapest composition that is so sure, and what that is worth; else why there is none."""
    from ...solver.uncertain.safety import safely
    from ...solver.uncertain.sure import NotSure

    with patience("trying lots"):
        found = safely(read.bench, share, read.within, deadline=deadline)
    if isinstance(found, NotSure):
        _leave_unsure(read, found, shown, deadline)
    return found


def _leave_unsure(
    read: "Informed", found: "NotSure", shown: Format, deadline: "Deadline"
) -> NoReturn:
    """Say what stands in the way of so much safety, then which rules clash."""
    from ...solver.program.outcome import Stopped
    from ...solver.uncertain.worth import freeing
    from ..kit.screen import complain
    from ..sureness.as_json import freeing_form
    from ..sureness.words import freeing_sentence

    with patience("looking for what stands in the way"):
        freed = freeing(read.bench, found, read.within, deadline=deadline)
        complain([freeing_sentence(freed)])
    beside: dict[str, object] = {}
    if not isinstance(freed, Stopped):
        beside["freeing"] = None if freed is None else freeing_form(freed)
    leave_without_answer(found.bench, found.refusal, shown, deadline=deadline, beside=beside)


def _show(
    bench: Bench,
    found: "Explaining",
    shown: Format,
    safe: "Safe | None",
    read: "Informed",
    *,
    whole: bool,
    yearly: float | None,
) -> None:
    """The composition first; what explains it is worked out while that can be read."""
    explained = cache(found.everything)

    def view(console: "Console", whole: bool) -> None:
        from ..finding.short import show_short_finding
        from ..finding.view import show_answer

        if whole:
            show_answer(console, bench, found.finding, found.proof)
        with patience("working out what explains it"):
            everything = explained()
        if whole:
            _show_rest(console, bench, everything, safe, read, yearly=yearly)
        elif safe is not None:
            from ..sureness.short import show_short_sureness

            show_short_sureness(console, bench, everything, safe, read, yearly=yearly)
            return
        else:
            show_short_finding(console, bench, everything, read.within)
        _show_beside(console, everything, read, whole=whole)

    def form() -> dict[str, object]:
        body = _form(bench, explained())
        if safe is not None:
            from ..sureness.as_json import sureness_form

            body["sureness"] = sureness_form(safe, yearly)
        else:
            from ..finding.lots import lots_form

            body["lots"] = lots_form(bench, found.finding.composition, read.within)
        if read.readings:
            from ..sureness.as_json import read_form

            body["readings"] = read_form(read)
        return body

    answered("cheapest", shown, form, view, whole=whole)


def _show_rest(
    console: "Console",
    bench: Bench,
    everything: "Explained",
    safe: "Safe | None",
    read: "Informed",
    *,
    yearly: float | None,
) -> None:
    """What explains the composition, and what lots do to it."""
    from ..finding.lots import show_lots
    from ..finding.view import show_explanations
    from ..kit.screen import paragraph
    from ..sureness.view import show_sureness
    from ..sureness.words import at_one_strength, coverage_sentence

    show_explanations(console, bench, everything)
    if safe is None:
        show_lots(console, bench, everything.finding.composition, read.within)
    else:
        show_sureness(console, bench, safe, yearly)
        if at_one_strength(bench, everything):
            paragraph(console, coverage_sentence())


def _show_beside(
    console: "Console", everything: "Explained", read: "Informed", *, whole: bool
) -> None:
    """What a second solver said, and what readings left out."""
    from ..kit.screen import paragraph
    from ..sureness.view import show_read

    if everything.agreed:
        paragraph(console, "A second solver, asked the same, finds the same cost.")
    if read.readings:
        show_read(console, read, whole=whole)


def _form(bench: Bench, everything: "Explained") -> dict[str, object]:
    from ..finding.as_json import alternatives_form, others_form, proof_form, worth_form
    from ..finding.second_look import look_form
    from ..kit.as_json import finding_form

    finding, worth, agreed = everything.finding, everything.worth, everything.agreed
    return {
        **finding_form(bench, finding),
        "second_look": look_form(bench, finding.composition),
        "other_choices": others_form(everything.others),
        "alternatives": alternatives_form(everything.alternatives),
        **({} if worth is None else {"exact": worth_form(finding, worth)}),
        **proof_form(
            bench,
            finding.program,
            finding.rows,
            None if worth is None else worth.proof,
            proved=worth is not None and worth.proved,
        ),
        "undone": sorted(everything.undone),
        **({} if agreed is None else {"second_opinion_agrees": agreed}),
    }


def _write(bench: Bench, finding: "Finding", path: Path, *, overwrite: bool) -> None:
    from ...constraints.bench.writing import formula_text

    because = f"cheapest by the brief, {finding.cost:.4f} {bench.brief.currency}/kg"
    text = formula_text(finding.composition, because=because, source=bench.folder)
    put(path, text, overwrite=overwrite)
