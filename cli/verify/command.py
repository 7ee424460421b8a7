"""``barwright verify``: check a proof by adding up, solving nothing."""

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from ...constraints.values.problem import Problem, Where, refuse, refuse_all
from ..kit.answer import answered
from ..kit.options import Format, Shown
from ..kit.patience import patience

if TYPE_CHECKING:
    from fractions import Fraction

    from rich.console import Console

    from ...constraints.model.brief import Bench
    from ...solver.proof.certificate import Verified
    from ...solver.proof.form import Json, Rejected
    from ...solver.strength.certificate import VerifiedWithin


def command(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE",
            help="A certificate, or what `cheapest --format json` printed.",
            show_default=False,
        ),
    ],
    *,
    bench_path: Annotated[
        Path | None,
        typer.Option("--bench", metavar="BENCH", help="Also: is it about this bench as it stands?"),
    ] = None,
    shown: Shown = Format.TABLE,
) -> None:
    """Check the proof in FILE by exact arithmetic alone: nothing is solved, nothing is trusted."""
    from ...constraints.bench.opening import read_bench
    from ...solver.proof.form import Rejected
    from .as_json import verified_form

    document = _read(file)
    written = _certificate_of(document, file)
    bench = None if bench_path is None else read_bench(bench_path)
    if bench is not None:
        _same_columns(document, bench, file)
    with patience("adding it up"):
        found, point = _checked(written, bench)
    if isinstance(found, Rejected):
        _reject(file, found.reason, "a proof that adds up, as it was written")
    if document is not written:
        _compare(document, (found, point), bench, file)
    answered(
        "verify",
        shown,
        lambda: verified_form(document, found, bench_path),
        lambda console, _: _show(console, document, found, bench_path),
    )


def _read(file: Path) -> "Json":
    from ...constraints.bench.files import content_of
    from ...constraints.values.door import too_large
    from ...constraints.values.problem import Problem

    content = content_of(file, str(file))
    if isinstance(content, Problem):
        _reject(file, content.found, content.expected)
    if content is None:
        _reject(file, "no such file", "a certificate")
    large = too_large(content)
    if large is not None:
        _reject(file, *large)
    try:
        document = json.loads(content, object_pairs_hook=_each_once)
    except (ValueError, RecursionError) as error:
        _reject(file, f"no JSON: {error}", "a certificate as JSON")
    if not isinstance(document, dict):
        _reject(file, "no object", "a certificate as a JSON object")
    return document


def _certificate_of(document: "Json", file: Path) -> "Json":
    """The certificate inside a finding, or the document itself where it is a bare one."""
    if "digests" in document:
        return document
    written = document.get("certificate")
    if not isinstance(written, dict):
        expected = "a certificate (without --no-proof, --format json has one)"
        _reject(file, "no certificate in it", expected)
    return written


def _each_once(pairs: list[tuple[str, object]]) -> "Json":
    """An object whose keys stand there once: of two, a reader would believe either."""
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a key stands there twice")
    return made


def _same_columns(document: "Json", bench: "Bench", file: Path) -> None:
    from ...constraints.rules.rows import rows_of
    from ..finding.as_json import question_form
    from .comparing import columns_of

    if columns_of(document) != question_form(rows_of(bench))["columns"]:
        _reject(file, "other materials than on the shelf", "a proof about this bench")


def _checked(
    written: "Json", bench: "Bench | None"
) -> "tuple[Verified | VerifiedWithin | Rejected, tuple[Fraction, ...]]":
    """A certificate checked in the way it was made, and the point in it.

    Where pH is ruled, a proof at one ionic strength says nothing of the bench.
    """
    from ...constraints.rules.rows import rows_of
    from ...solver.cheapest.cheapest import as_it_is, program_of, written_for
    from ...solver.program.fixed_point import speaks_of_water
    from ...solver.proof.certificate import point_of, verify
    from ...solver.proof.form import Rejected
    from ...solver.strength.certificate import Asked, shares_of, verify_within

    if "cells" in written:
        asked = None if bench is None else Asked(bench, written_for(bench, as_it_is))
        within = verify_within(written, asked)
        return within, () if isinstance(within, Rejected) else shares_of(written)
    if bench is not None and speaks_of_water(bench.brief):
        return Rejected("one ionic strength, of the document's own choosing"), ()
    program = None if bench is None else program_of(rows_of(bench), bench.prices)
    found = verify(written, program)
    return found, () if isinstance(found, Rejected) else point_of(written)


def _compare(
    document: "Json",
    proved: "tuple[Verified | VerifiedWithin, tuple[Fraction, ...]]",
    bench: "Bench | None",
    file: Path,
) -> None:
    """What stands beside a certificate must be what it proves, and so of the bench."""
    from .comparing import against, beside

    faults = [*beside(document, *proved)]
    faults += [] if bench is None or faults else against(document, bench)
    where = Where(str(file))
    refuse_all(Problem(where, fault.found, fault.expected) for fault in faults)


def _reject(file: Path, found: str, expected: str) -> NoReturn:
    refuse(str(file), found, expected)


def _show(
    console: "Console",
    document: "Json",
    found: "Verified | VerifiedWithin",
    about: Path | None,
) -> None:
    from ..kit.screen import paragraph
    from .words import verified_sentences

    for sentence in verified_sentences(document.get("product"), found, about):
        paragraph(console, sentence)
