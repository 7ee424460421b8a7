"""A checked proof as JSON."""

from collections.abc import Mapping
from pathlib import Path

from ...solver.proof.certificate import Verified


def verified_form(
    document: Mapping[str, object], found: Verified, rows: int, about: Path | None
) -> dict[str, object]:
    """What a proof proves, and about what."""
    return {
        "holds": True,
        "kind": found.kind,
        "cost": None if found.cost is None else float(found.cost),
        "bound": None if found.bound is None else float(found.bound),
        "rows": rows,
        "product": document.get("product"),
        "about_bench": None if about is None else str(about),
    }
