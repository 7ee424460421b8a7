"""``barwright verify``: check a proof by adding up, solving nothing."""

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from ...constraints.values.problem import refuse
from ..kit.answer import answered
from ..kit.options import Format, Shown
from ..kit.patience import patience

if TYPE_CHECKING:
    from fractions import Fraction

    from rich.console import Console

    from ...solver.program.outcome import Program
    from ...solver.proof.certificate import Json, Verified

SAME = 1e-6
"""How near a written share or cost must be to the certificate's [kg/kg, money/kg]."""


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
    from ...solver.proof.certificate import Rejected, verify
    from .as_json import verified_form

    document = _read(file)
    written = _certificate_of(document, file)
    program = None if bench_path is None else _question(bench_path, document, file)
    with patience("adding it up"):
        found = verify(written, program)
    if isinstance(found, Rejected):
        _reject(file, found.reason, "a proof that adds up, as it was written")
    _compare(document, written, found, file)
    rows = len(written["program"]["rows"])
    answered(
        "verify",
        shown,
        lambda: verified_form(document, found, rows, bench_path),
        lambda console: _show(console, document, found, rows, bench_path),
    )


def _read(file: Path) -> dict[str, object]:
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
        document = json.loads(content)
    except (ValueError, RecursionError) as error:
        _reject(file, f"no JSON: {error}", "a certificate as JSON")
    if not isinstance(document, dict):
        _reject(file, "no object", "a certificate as a JSON object")
    return document


def _certificate_of(document: dict[str, object], file: Path) -> "Json":
    """The certificate inside a finding, or the document itself where it is a bare one."""
    if "digests" in document:
        return document
    written = document.get("certificate")
    if not isinstance(written, dict):
        expected = "a certificate (without --no-proof, --format json has one)"
        _reject(file, "no certificate in it", expected)
    return written


def _question(folder: Path, document: dict[str, object], file: Path) -> "Program":
    """The program of a bench as it stands, at the ionic strength that the proof was made for."""
    from ...constraints.bench.opening import read_bench
    from ...constraints.rules.rows import rows_of
    from ...solver.cheapest.cheapest import program_of
    from ..finding.as_json import question_form

    bench = read_bench(folder)
    proof = document.get("proof")
    about = proof if isinstance(proof, dict) else {}
    strength = about.get("ionic_strength")
    rows = rows_of(bench, strength if isinstance(strength, float) and 0 <= strength < 100 else 0.0)
    if about.get("columns") != question_form(bench, rows)["columns"]:
        _reject(file, "other materials than on the shelf", f"a proof about {folder}")
    return program_of(rows, bench.prices)


def _compare(
    document: dict[str, object],
    written: dict[str, object],
    found: "Verified",
    file: Path,
) -> None:
    """What stands beside a certificate must be what the certificate proves."""
    from ...solver.proof.certificate import point_of

    if document is written:
        return
    proof = document.get("proof")
    if found.kind == "gap" and isinstance(proof, dict) and proof.get("proved") is not False:
        _reject(file, "proved, where the certificate leaves a gap", "not proved")
    said = "infeasible" if found.kind == "infeasible" else "optimal"
    if document.get("status", said) != said:
        _reject(file, f"status {document['status']}", f"{said}, as is proved")
    if "composition" in document and not _same_shares(document, point_of(written)):
        _reject(file, "a composition that is not the one proved", "the composition proved")
    if "cost" in document and not _near(document["cost"], found.cost):
        _reject(file, f"cost {document['cost']}", "the cost proved")


def _same_shares(document: dict[str, object], point: "tuple[Fraction, ...]") -> bool:
    columns, parts = _columns(document), document["composition"]
    if not isinstance(parts, list) or not all(isinstance(part, dict) for part in parts):
        return False
    shares = {part.get("material"): part.get("share") for part in parts}
    uses = [name for name in columns if name.startswith("use of ")]
    proved = dict(zip(columns, point, strict=False))
    names = [name for name in columns if name not in uses]
    return (
        len(columns) == len(point)
        and shares.keys() <= set(names)
        and all(_near(shares.get(name, 0.0), proved[name]) for name in names)
    )


def _near(said: object, proved: "Fraction | None") -> bool:
    number = isinstance(said, int | float) and not isinstance(said, bool)
    return number and proved is not None and abs(float(said) - float(proved)) <= SAME  # type: ignore[arg-type]


def _columns(document: dict[str, object]) -> list[str]:
    proof = document.get("proof")
    columns = proof.get("columns") if isinstance(proof, dict) else None
    return [str(name) for name in columns] if isinstance(columns, list) else []


def _reject(file: Path, found: str, expected: str) -> NoReturn:
    refuse(str(file), found, expected)


def _show(
    console: "Console",
    document: dict[str, object],
    found: "Verified",
    rows: int,
    about: Path | None,
) -> None:
    from ..kit.screen import paragraph
    from .words import verified_sentences

    for sentence in verified_sentences(document.get("product"), found, rows, about):
        paragraph(console, sentence)
