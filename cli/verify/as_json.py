"""A checked proof as JSON."""

from collections.abc import Mapping
from pathlib import Path

from ...solver.proof.certificate import Verified
from ...solver.strength.certificate import VerifiedWithin
from .words import NOT_COVERED


def verified_form(
    document: Mapping[str, object], found: Verified | VerifiedWithin, about: Path | None
) -> dict[str, object]:
    """What a proof proves, about what, and what it says nothing of."""
    within = found.covered if isinstance(found, VerifiedWithin) else None
    return {
        "holds": True,
        "kind": found.kind,
        "cost": None if found.cost is None else float(found.cost),
        "bound": None if found.bound is None else float(found.bound),
        "rows": found.rows,
        "product": document.get("product"),
        "about_bench": None if about is None else str(about),
        "ionic_strength_up_to": None if within is None else within.salt[1],
        "not_vouched_for": list(NOT_COVERED["bare" if about is None else "bench"]),
    }
