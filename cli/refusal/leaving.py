"""How a command ends that found no composition."""

from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import typer

from ...constraints.model.brief import Bench
from ..finding.certificate import write_certificate
from ..kit.exit import without_answer
from ..kit.options import Format

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ...solver.cheapest.cheapest import Refusal
    from ...solver.program.deadline import Deadline
    from ..finding.as_json import AnyProof


def leave_without_answer(
    bench: Bench,
    refusal: "Refusal",
    shown: Format,
    certificate: Path | None = None,
    *,
    overwrite: bool = False,
    command: str = "cheapest",
    whole: bool = False,
    deadline: "Deadline | None" = None,
    beside: "Mapping[str, object] | None" = None,
) -> NoReturn:
    """Say why there is no composition; exit 3, 5 where time ran out, 1 where a solver gave up."""
    from .view import show_refusal

    def written(proof: "AnyProof") -> None:
        if certificate is not None:
            write_certificate(certificate, bench, refusal, proof, overwrite=overwrite)

    show_refusal(
        bench,
        refusal,
        shown,
        command,
        whole=whole,
        deadline=deadline,
        before=None if certificate is None else written,
        beside=beside,
    )
    raise typer.Exit(without_answer(refusal.outcome))
