"""The proof of an answer, written down on request."""

from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ..kit.loading import leave
from ..kit.writing import put

if TYPE_CHECKING:
    from ...solver.cheapest.cheapest import Finding, Refusal
    from ...solver.proof.proof import Proof


def write_certificate(
    path: Path, bench: Bench, answer: "Finding | Refusal", proof: "Proof", *, overwrite: bool
) -> None:
    """Write down a proof with what its columns mean, or say why there is none to write."""
    from ...constraints.values.problem import Problem, Problems, Where
    from ...solver.proof.proof import Unproved
    from ..kit.as_json import dumped, units
    from .as_json import proof_form

    if isinstance(proof, Unproved):
        leave(Problems((Problem(Where(str(path)), proof.reason, "a proof to write down"),)))
    head = {"product": bench.brief.name, "units": units(bench)}
    form = proof_form(bench, answer.program, answer.rows, proof, proved=True)
    put(path, dumped("certificate", {**head, **form}) + "\n", overwrite=overwrite)
