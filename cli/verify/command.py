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
    from rich.console import Console

    from ...constraints.model.brief import Bench
    from ...solver.answers.vouching import Vouched
    from ...solver.proof.form import Json
    from ...solver.uncertain.tried import Tried


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
    from ...solver.answers.vouching import about_the_shelf, certificate_in, vouched
    from ...solver.proof.form import Rejected
    from .as_json import verified_form

    document = _read(file)
    if certificate_in(document) is None:
        expected = "a certificate (without --no-proof, --format json has one)"
        _reject(file, "no certificate in it", expected)
    bench = None if bench_path is None else read_bench(bench_path)
    if bench is not None and not about_the_shelf(document, bench):
        _reject(file, "other materials than on the shelf", "a proof about this bench")
    with patience("adding it up"):
        checked = vouched(document, bench)
    if isinstance(checked, Rejected):
        _reject(file, checked.reason, "a proof that adds up, as it was written")
    _compare(document, checked, checked.lots.bench if checked.lots else bench, file)
    tried = None if bench is None else _tried(bench, checked)
    answered(
        "verify",
        shown,
        lambda: verified_form(document, checked, bench_path, tried),
        lambda console, _: _show(console, document, checked, bench_path, tried),
    )


def _tried(bench: "Bench", checked: "Vouched") -> "Tried | None":
    """What lots drawn anew do to a composition that is meant for whichever lots come."""
    if checked.lots is None or not checked.point:
        return None
    from ...constraints.model.uncertainty import Uncertainty
    from ...solver.answers.vouching import made_of
    from ...solver.uncertain.fresh import on_fresh_lots

    added = checked.lots.correction
    with patience("trying lots"):
        return on_fresh_lots(bench, made_of(bench, checked.point), Uncertainty(correction=added))


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


def _each_once(pairs: list[tuple[str, object]]) -> "Json":
    """An object whose keys stand there once: of two, a reader would believe either."""
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a key stands there twice")
    return made


def _compare(document: "Json", checked: "Vouched", bench: "Bench | None", file: Path) -> None:
    """What stands beside a certificate must be what it proves, and so of the bench."""
    from ...solver.answers.vouching import certificate_in
    from .comparing import against

    faults = [*checked.faults]
    bare = certificate_in(document) is document
    faults += [] if bench is None or faults or bare else against(document, bench)
    where = Where(str(file))
    refuse_all(Problem(where, fault.found, fault.expected) for fault in faults)


def _reject(file: Path, found: str, expected: str) -> NoReturn:
    refuse(str(file), found, expected)


def _show(
    console: "Console",
    document: "Json",
    checked: "Vouched",
    about: Path | None,
    tried: "Tried | None",
) -> None:
    from ..kit.screen import paragraph
    from .words import verified_sentences

    for sentence in verified_sentences(document.get("product"), checked, about, tried):
        paragraph(console, sentence)
