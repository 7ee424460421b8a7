"""What is said of how sure an answer is."""

from ...constraints.acidity.constants import constants
from ...solver.prices.worth import is_proved
from ...solver.proof.proved import Proof, ProvedGap, ProvedInfeasible, Unproved
from ...solver.strength.proof import ProvedNowhere, ProvedWithin

ROUNDING = 1e-9


def proof_sentence(proof: Proof | ProvedWithin, rules: int, currency: str) -> str:
    """How sure a cheapest composition is."""
    if isinstance(proof, ProvedWithin):
        return _within_sentence(proof, rules, currency)
    if is_proved(proof):
        return f"Proved optimal: no composition that keeps the {rules} rules costs less."
    if isinstance(proof, ProvedGap):
        gap = float(proof.cost - proof.bound)
        return f"Not proved optimal: another could cost up to {gap:.4f} {currency}/kg less."
    if isinstance(proof, ProvedInfeasible):
        return (
            "Not proved optimal: to the last digit the rules miss each other by"
            f" {float(proof.breach):.1e}, which no balance would show."
        )
    reason = proof.reason if isinstance(proof, Unproved) else "the solver's point is dearer"
    return f"Not proved optimal: {reason}."


def _within_sentence(proof: ProvedWithin, rules: int, currency: str) -> str:
    whatever = f"whatever the ionic strength, {up_to()}"
    if not proof.is_close:
        return (
            f"Not proved optimal: {whatever}, another could cost up to {proof.gap:.4f}"
            f" {currency}/kg less."
        )
    return (
        f"Proved optimal, to {max(proof.gap, 1e-4):.4f} {currency}/kg: {whatever}, no composition"
        f" that keeps the {rules} rules costs less."
    )


def up_to() -> str:
    """How far claims on pH reach."""
    return f"up to the {constants().trusted_to:g} mol/kg that a predicted pH is trusted for"


def strength_sentence(strength: float) -> str:
    """What a proof takes as given where pH is to hold for every lot."""
    return f"pH is counted at an ionic strength of {strength:.3f} mol/kg of water."


def impossible_sentence(proof: ProvedInfeasible | ProvedNowhere | Unproved) -> str:
    """How sure it is that there is no composition."""
    if isinstance(proof, Unproved):
        return f"Not proved: {proof.reason}."
    if proof.breach < ROUNDING:
        return "Proved, though only just: the rules miss each other by less than can be weighed."
    if isinstance(proof, ProvedNowhere):
        said = f"whatever is weighed, and at any ionic strength {up_to()}"
        return f"Proved: {said}, some rule is broken."
    return "Proved: whatever is weighed, some rule is broken."
