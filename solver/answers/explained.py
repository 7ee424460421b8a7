"""The cheapest composition with all that explains it: at once, or each part as it is known."""

from dataclasses import dataclass

from ...constraints.model.brief import Bench
from ...constraints.values.problem import CheckFailedError
from ...constraints.values.told import Told
from ..cheapest.cheapest import Explanation, Finding, Refusal, cheapest
from ..choices.alternatives import Alternatives, alternatives
from ..choices.choices import Other, other_choices
from ..choices.ways import ways_to_choose
from ..prices.worth import Worth, is_proved, proved, worth
from ..program.deadline import NEVER, TIME_RAN_OUT, Deadline
from ..program.opinion import second_opinion
from ..program.outcome import Optimal
from ..proof.proved import Proof, ProvedOptimal, Unproved
from ..strength.proof import ProvedWithin

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
        undone: what there was no time for.
    """

    finding: Finding
    worth: Worth | None
    others: tuple[Other, ...]
    alternatives: Alternatives | None
    agreed: bool | None = None
    undone: frozenset[Explanation] = frozenset()

    @property
    def is_unproved(self) -> bool:
        """Whether a proof was asked for and came to nothing; one with a gap came to something."""
        return self.worth is not None and _came_to_nothing(self.worth.proof)


@dataclass(frozen=True, slots=True, repr=False)
class Wishes(Told):
    """What is to explain a cheapest composition.

    Args:
        proof: whether to prove it in exact arithmetic, which also gives exact prices.
        others: how many others that differ most to look for.
        within: what those may cost more, as a share of the cost.
        opinion: whether to put the question to a second solver too.
    """

    proof: bool = True
    others: int = 0
    within: float = 0.02
    opinion: bool = False


def explained(
    bench: Bench,
    *,
    proof: bool = True,
    others: int = 0,
    within: float = 0.02,
    opinion: bool = False,
    deadline: Deadline = NEVER,
) -> Explained | Refusal:
    """Propose the cheapest composition that keeps every rule, and explain it.

    Args:
        bench: shelf and rules.
        proof: whether to prove it in exact arithmetic, which also gives exact prices.
        others: how many others that differ most to look for.
        within: what those may cost more, as a share of the cost.
        opinion: whether to put the question to a second solver too.
        deadline: when to give up; what is undone by then is said.

    Raises:
        CheckFailedError: when the answer breaks a rule by the independent check, or a second solver
            finds another cost.
    """
    wishes = Wishes(proof=proof, others=others, within=within, opinion=opinion)
    found = Explaining.of(bench, wishes, deadline)
    return found if isinstance(found, Refusal) else found.everything()


class Explaining:
    """A cheapest composition, proved; the rest is worked out when it is asked for.

    Args:
        bench: shelf and rules.
        found: the composition.
        wishes: what is to explain it.
        deadline: when to leave the rest undone.
    """

    def __init__(
        self, bench: Bench, found: Finding, wishes: Wishes, deadline: Deadline = NEVER
    ) -> None:
        self._bench, self._wishes, self._deadline = bench, wishes, deadline
        self._left = deadline.for_explaining(found.spent)
        self.finding = found
        self.proof: Proof | ProvedWithin | None = None
        if wishes.proof:
            self.finding, self.proof = proved(bench, found, deadline)

    @classmethod
    def of(cls, bench: Bench, wishes: Wishes, deadline: Deadline = NEVER) -> "Explaining | Refusal":
        """Look for the cheapest composition and prove it.

        Raises:
            CheckFailedError: when the answer breaks a rule by the independent check.
        """
        found = cheapest(bench, deadline)
        return found if isinstance(found, Refusal) else cls(bench, found, wishes, deadline)

    @property
    def is_unproved(self) -> bool:
        """As of an ``Explained``."""
        return self.proof is not None and _came_to_nothing(self.proof)

    def everything(self) -> Explained:
        """All that explains it, and what there was no time for.

        Raises:
            CheckFailedError: when a second solver finds another cost.
        """
        known = (
            None if self.proof is None else worth(self.finding, self.proof, self._left.part(0.5))
        )
        choices, settled = self._choices()
        apart = self._alternatives()
        late = {
            Explanation.CHOICES: not settled,
            Explanation.OTHERS: apart is not None and apart.stopped,
        }
        undone = {one for one, is_late in late.items() if is_late} | self.finding.undone
        undone |= frozenset() if known is None else known.undone
        agreed = self._agreed() if self._wishes.opinion else None
        return Explained(self.finding, known, choices, apart, agreed, frozenset(undone))

    def _choices(self) -> tuple[tuple[Other, ...], bool]:
        """Choices made the other way, and whether these are all."""
        if self.proof is None or not self.finding.conditional:
            return (), True
        others = other_choices(self._bench, self.finding, deadline=self._left)
        return others, len(others) == len(ways_to_choose(self._bench, self.finding))

    def _alternatives(self) -> Alternatives | None:
        if not self._wishes.others:
            return None
        wishes = self._wishes
        return alternatives(self._bench, self.finding, wishes.others, wishes.within, self._deadline)

    def _agreed(self) -> bool:
        cost = self.finding.cost
        other = second_opinion(self.finding.program, self._deadline)
        if isinstance(other, Optimal) and abs(other.cost - cost) <= SAME_COST * max(1.0, cost):
            return True
        said = f"{other.cost:.6f}" if isinstance(other, Optimal) else type(other).__name__.lower()
        message = f"a second solver says {said} and the first {cost:.6f}; trust neither"
        raise CheckFailedError(message)


def _came_to_nothing(proof: Proof | ProvedWithin) -> bool:
    """Whether a proof failed though there was time; one with a gap came to something."""
    if isinstance(proof, Unproved):
        return proof.reason != TIME_RAN_OUT
    return isinstance(proof, ProvedOptimal) and not is_proved(proof)
