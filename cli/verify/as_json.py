"""A checked proof as JSON."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from ...solver.strength.certificate import VerifiedWithin
from ..sureness.as_json import tried_form
from .words import covered_by

if TYPE_CHECKING:
    from ...solver.answers.vouching import Vouched
    from ...solver.uncertain.tried import Tried


def verified_form(
    document: Mapping[str, object], checked: "Vouched", about: Path | None, tried: "Tried | None"
) -> dict[str, object]:
    """What a proof proves, about what, and what it says nothing of."""
    found = checked.found
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
        "at_ionic_strength": None if checked.lots is None else checked.lots.strength,
        "tried": None if tried is None else tried_form(tried),
        "not_vouched_for": list(covered_by(checked, about)),
    }
