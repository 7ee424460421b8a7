"""What is said of a proof that holds, and of what it does not cover."""

from collections.abc import Iterator
from pathlib import Path

from ...solver.proof.certificate import Verified
from ...solver.strength.certificate import VerifiedWithin

NOT_COVERED = {
    "bare": (
        "the name of the product and of its materials",
        "that the rows are those of a certain bench",
        "the pH",
        "offers, contents and rules as they are told",
        "prices of limits, other choices and alternatives",
    ),
    "bench": ("prices of limits, other choices and alternatives",),
}
"""Parts of a document that a proof says nothing of, without a bench and with one."""


def verified_sentences(
    product: object, found: Verified | VerifiedWithin, about: Path | None
) -> Iterator[str]:
    """What a certificate proves, and about what."""
    name = f"{product}: " if isinstance(product, str) else ""
    yield f"{name}the proof holds. {_what(found)}"
    if isinstance(found, VerifiedWithin):
        yield _reach(found)
    if about is None:
        left_out = "; ".join(NOT_COVERED["bare"])
        yield f"It does not vouch for: {left_out}. --bench BENCH compares all but the last."
    else:
        yield (
            f"Row by row and price by price it is about {about} as it stands, and so are the name,"
            " the composition and the rules that stand beside it. It does not vouch for:"
            f" {NOT_COVERED['bench'][0]}."
        )


def _what(found: Verified | VerifiedWithin) -> str:
    rows = found.rows
    if found.cost is None:
        return f"No composition keeps the {rows} rows it is about."
    cost = f"{float(found.cost):.6f} for each kilogram"
    if found.kind == "optimal" and isinstance(found, Verified):
        return f"No composition that keeps the {rows} rows costs less than {cost}."
    bound = 0.0 if found.bound is None else float(found.bound)
    if found.kind == "optimal":
        return (
            f"The composition costs {cost}; none that keeps the {rows} rows costs less than"
            f" {bound:.6f}, which is as good as the same."
        )
    return (
        f"The composition keeps the {rows} rows and costs {cost};"
        f" none costs less than {bound:.6f}, which leaves a gap."
    )


def _reach(found: VerifiedWithin) -> str:
    """For which dispersions it is proved."""
    (ph_low, ph_high), (salt_low, salt_high) = found.covered.ph, found.covered.salt
    parts = "one piece" if found.cells == 1 else f"{found.cells} pieces that leave none out"
    return (
        f"It covers every ionic strength from {salt_low:g} to {salt_high:g} mol/kg of water and"
        f" every pH from {ph_low:g} to {ph_high:g}, in {parts}; of more salt it says nothing."
    )
