"""The proof of an answer, written down on request."""

from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ..kit.screen import complain
from ..kit.writing import put

if TYPE_CHECKING:
    from ...solver.cheapest.cheapest import Finding, Refusal
    from .as_json import AnyProof


def write_certificate(
    path: Path, bench: Bench, answer: "Finding | Refusal", proof: "AnyProof", *, overwrite: bool
) -> bool:
    """Write down a proof with what its columns mean, or say why there is none to write.

    Returns:
        Whether it was written.

    Raises:
        InputError: when there is no place to write it to.
    """
    from ...solver.proof.proved import Unproved
    from ..kit.as_json import dumped, units
    from .as_json import proof_form

    if isinstance(proof, Unproved):
        complain([f"No certificate was written, as there is no proof: {proof.reason}."])
        return False
    head = {"product": bench.brief.name, "units": units(bench)}
    form = proof_form(bench, answer.program, answer.rows, proof, proved=True)
    put(path, dumped("certificate", {**head, **form}) + "\n", overwrite=overwrite)
    return True
