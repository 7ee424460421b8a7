"""What is said of a proof that holds, and of what it does not cover."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from ...solver.proof.certificate import Verified
from ...solver.strength.certificate import VerifiedWithin
from ..kit.numbers import percent

if TYPE_CHECKING:
    from ...solver.answers.held_for import HeldFor
    from ...solver.answers.vouching import Vouched
    from ...solver.uncertain.tried import Tried

NOT_COVERED = {
    "bare": (
        "the name of the product and of its materials",
        "that the rows are those of a certain bench",
        "the pH, beyond rows of which the document itself says that they are about it",
        "offers, contents and rules as they are told",
        "prices of limits, other choices and alternatives",
    ),
    "bench": ("prices of limits, other choices and alternatives",),
    "lots": (
        "mixes of another ionic strength",
        "how often lots keep the rules, which is drawn and not proved",
        "what less safety would cost and what a reading is worth",
        "prices of limits, other choices and alternatives",
    ),
}
"""Parts of a document that a proof says nothing of: without a bench, with one, and for lots."""


def covered_by(checked: "Vouched", about: Path | None) -> tuple[str, ...]:
    """What a document says that is not vouched for."""
    if checked.lots is not None:
        return NOT_COVERED["lots"]
    return NOT_COVERED["bare" if about is None else "bench"]


def verified_sentences(
    product: object, checked: "Vouched", about: Path | None, tried: "Tried | None"
) -> Iterator[str]:
    """What a certificate proves, and about what."""
    found = checked.found
    name = f"{product}: " if isinstance(product, str) else ""
    yield f"{name}the proof holds. {_what(found)}"
    if isinstance(found, VerifiedWithin):
        yield _reach(found)
    left_out = "; ".join(covered_by(checked, about))
    if about is None:
        yield f"It does not vouch for: {left_out}. --bench BENCH compares all but the last."
        return
    if checked.lots is not None:
        yield _for_lots(checked.lots)
    yield (
        f"Row by row and price by price it is about {about} as it stands, and so are the name,"
        f" the composition and the rules that stand beside it. It does not vouch for: {left_out}."
    )
    if tried is not None:
        kept = percent(1 - tried.share)
        yield f"Tried anew on {tried.of:,} lots: every rule is kept in {kept} of them."


def _for_lots(lots: "HeldFor") -> str:
    """For which lots the rows stand, and at which ionic strength."""
    within = [rule.within for rule in lots.bench.brief.rules if rule.within is not None]
    scales = [one.scale for one in within if one.scale > 0.0] or [0.0]
    low, high = percent(min(scales)), percent(max(scales))
    shares = low if low == high else f"{low} to {high}"
    added = lots.correction
    room = (
        f", with room for {added.most * 1000:.2f} g/kg of {added.material.name} at the bench"
        if added is not None and added.most > 0.0
        else ""
    )
    return (
        f"Its rows stand at the worst lots of {shares} of every range, rule by rule as it says"
        f"{room}, and at the ionic strength of its composition,"
        f" {lots.strength:.4f} mol/kg of water: of mixes as salty as that none is cheaper."
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
