"""The cheapest composition with all that explains it, in one call."""

from dataclasses import dataclass

from ...constraints.model.brief import Bench
from ...constraints.values.problem import CheckFailedError
from ...constraints.values.told import Told
from ..cheapest.cheapest import Finding, Refusal, cheapest
from ..choices.alternatives import Alternatives, alternatives
from ..choices.choices import Other, other_choices
from ..prices.worth import Worth, proved, with_entries, worth
from ..program.outcome import Optimal
from ..program.session import second_opinion
from ..proof.proof import ProvedOptimal, Unproved

SAME_COST = 1e-5
"""How far two solvers' costs may be apart, as a part of the cost."""


@dataclass(frozen=True, slots=True, repr=False)
class Explained(Told):
    """A cheapest composition and why it is one.

    Args:
        finding: the composition and its rules.
        worth: proof and exact prices; ``None`` where no proof was asked for.
        others: its choices made the other way.
        alternatives: what differs most for little more; ``None`` where not asked for.
        agreed: whether a second solver found the same cost; ``None`` where it was not asked.
    """

    finding: Finding
    worth: Worth | None
    others: tuple[Other, ...]
    alternatives: Alternatives | None
    agreed: bool | None = None

    @property
    def is_unproved(self) -> bool:
        """Whether a proof was asked for and came to nothing; one with a gap came to something."""
        if self.worth is None or self.worth.proved:
            return False
        return isinstance(self.worth.proof, ProvedOptimal | Unproved)


def explained(
    bench: Bench,
    *,
    proof: bool = True,
    others: int = 0,
    within: float = 0.02,
    opinion: bool = False,
    time_limit_s: float | None = None,
) -> Explained | Refusal:
    """Propose the cheapest composition that keeps every rule, and explain it.

    Args:
        bench: shelf and rules.
        proof: whether to prove it in exact arithmetic, which also gives exact prices.
        others: how many others that differ most to look for.
        within: what those may cost more, as a share of the cost.
        opinion: whether to put the question to a second solver too.
        time_limit_s: give up looking for it after so long [s].

    Raises:
        CheckFailedError: when the answer breaks a rule by the independent check, or a second solver
            finds another cost.
    """
    found = cheapest(bench, time_limit_s)
    if isinstance(found, Refusal):
        return found
    known: Worth | None = None
    choices: tuple[Other, ...] = ()
    if proof:
        found, proof_found = proved(bench, found)
        known = worth(found, proof_found)
        found = with_entries(found, known)
        choices = other_choices(bench, found) if found.conditional else ()
    apart = alternatives(bench, found, others, within) if others else None
    agreed = _agreed(found, time_limit_s) if opinion else None
    return Explained(found, known, choices, apart, agreed)


def _agreed(finding: Finding, time_limit_s: float | None) -> bool:
    other = second_opinion(finding.program, time_limit_s)
    near = SAME_COST * max(1.0, finding.cost)
    if isinstance(other, Optimal) and abs(other.cost - finding.cost) <= near:
        return True
    said = f"{other.cost:.6f}" if isinstance(other, Optimal) else type(other).__name__.lower()
    message = f"a second solver says {said} and the first {finding.cost:.6f}; trust neither"
    raise CheckFailedError(message)
