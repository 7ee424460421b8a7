"""The proof of an answer, written down on request."""

from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ..kit.writing import put

if TYPE_CHECKING:
    from ...solver.cheapest.cheapest import Finding, Refusal
    from .as_json import AnyProof


def write_certificate(
    path: Path, bench: Bench, answer: "Finding | Refusal", proof: "AnyProof", *, overwrite: bool
) -> None:
    """Write down a proof with what its columns mean.

    Raises:
        InputError: when there is none to write, or no place to write it to.
    """
    from ...constraints.values.problem import refuse
    from ...solver.proof.proof import Unproved
    from ..kit.as_json import dumped, units
    from .as_json import proof_form

    if isinstance(proof, Unproved):
        refuse(str(path), proof.reason, "a proof to write down")
    head = {"product": bench.brief.name, "units": units(bench)}
    form = proof_form(bench, answer.program, answer.rows, proof, proved=True)
    put(path, dumped("certificate", {**head, **form}) + "\n", overwrite=overwrite)
