"""What is said of how sure an answer is."""

from ...solver.prices.worth import is_proved
from ...solver.proof.proof import Proof, ProvedGap, ProvedInfeasible, Unproved

ROUNDING = 1e-9


def proof_sentence(proof: Proof, rules: int, currency: str) -> str:
    """How sure a cheapest composition is."""
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


def strength_sentence(strength: float) -> str:
    """What the proof takes as given where pH is ruled."""
    return f"pH is counted at an ionic strength of {strength:.3f} mol/kg of water."


def impossible_sentence(proof: ProvedInfeasible | Unproved) -> str:
    """How sure it is that there is no composition."""
    if isinstance(proof, Unproved):
        return f"Not proved: {proof.reason}."
    if proof.breach < ROUNDING:
        return "Proved, though only just: the rules miss each other by less than can be weighed."
    return "Proved: whatever is weighed, some rule is broken."
