"""What is said of a proof that holds."""

from collections.abc import Iterator
from pathlib import Path

from ...solver.proof.certificate import Verified


def verified_sentences(
    product: object, found: Verified, rows: int, about: Path | None
) -> Iterator[str]:
    """What a certificate proves, and about what."""
    name = f"{product}: " if isinstance(product, str) else ""
    yield f"{name}the proof holds. {_what(found, rows)}"
    if about is None:
        yield (
            "That the rows are those of a certain bench this does not say;"
            " --bench BENCH compares them."
        )
    else:
        yield f"Row by row and price by price it is about {about} as it stands."


def _what(found: Verified, rows: int) -> str:
    if found.cost is None:
        return f"No composition keeps the {rows} rows it is about."
    cost = f"{float(found.cost):.6f} for each kilogram"
    if found.kind == "optimal":
        return f"No composition that keeps the {rows} rows costs less than {cost}."
    bound = 0.0 if found.bound is None else float(found.bound)
    return (
        f"The composition keeps the {rows} rows and costs {cost};"
        f" none costs less than {bound:.6f}, which leaves a gap."
    )
