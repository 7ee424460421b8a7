"""No composition: what is said instead of one."""

import typer

from ..constraints.brief import Bench
from ..solver.cheapest import Refusal
from ..solver.outcome import Stopped, Unbounded
from .loading import Format


def show_refusal(bench: Bench, refusal: Refusal, shown: Format) -> None:
    """Say why nothing keeps the rules, on stdout: it is a finding, not a mistake."""
    if shown is Format.JSON:
        from .json_form import dumped

        form = {"product": bench.brief.name, "status": _status(refusal)}
        typer.echo(dumped("cheapest", form))
        return
    typer.echo(_sentence(bench, refusal))


def _status(refusal: Refusal) -> str:
    return type(refusal.outcome).__name__.lower()


def _sentence(bench: Bench, refusal: Refusal) -> str:
    if isinstance(refusal.outcome, Stopped):
        return f"{bench.brief.name}: gave up before it was sure: {refusal.outcome.reason}."
    if isinstance(refusal.outcome, Unbounded):
        return f"{bench.brief.name}: the cost falls without end; some price is below nothing."
    return f"{bench.brief.name}: no composition of what is on the shelf keeps every rule."
