"""Why a bench has no composition, and what would give it one.

Clashes and concessions are looked for in rows; every way out is then tried on the bench itself:
its rules changed or its shelf widened, at the ionic strength of its own answer, and checked rule by
rule. What does not stand that is not shown.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import inf

from ...constraints.bench.changing import borne_by
from ...constraints.model.brief import Bench
from ...constraints.values.told import Told
from ..cheapest.cheapest import Refusal, least, written_for
from ..program.deadline import NEVER, REFUSAL_S, Deadline
from ..program.fixed_point import speaks_of_water
from ..program.outcome import Infeasible
from ..program.session import stuck_at
from ..proof.proof import prove_infeasible
from ..proof.proved import ProvedInfeasible, Unproved
from ..strength.proof import ProvedNowhere, prove_nowhere
from .concessions import Concession, conceding, concessions, strength_of_some
from .conflict import Clash, Clashes, clashes
from .irreducible import irreducible
from .purchases import Purchase, purchases

PARED_S = 10.0
"""For so long a clash that only several cells together show is made smaller [s]."""


class Search(StrEnum):
    """What is looked for, and can be cut short."""

    CLASHES = "what clashes"
    CONCESSIONS = "ways out"
    PURCHASES = "materials to buy"


@dataclass(frozen=True, slots=True, repr=False)
class Reasons(Told):
    """Why there is no composition, and what would help.

    Args:
        proof: that none keeps all the rules, exactly, and where pH is ruled at every ionic strength
            that the model of acidity is trusted for.
        clashes: sets of rules that cannot hold together, smallest first.
        concessions: rules that could give way, cheapest first.
        purchases: materials that could be bought: those for which the most could be paid first.
        tried: how many materials of the catalogue were tried.
        undone: what was cut short for lack of time.
    """

    proof: ProvedInfeasible | ProvedNowhere | Unproved
    clashes: Clashes
    concessions: tuple[Concession, ...]
    purchases: tuple[Purchase, ...]
    tried: int
    undone: frozenset[Search] = frozenset()


def reasons(
    bench: Bench,
    refusal: Refusal,
    names: Sequence[str] | None = None,
    *,
    most_clashes: int = 5,
    most_ways: int = 5,
    deadline: Deadline = NEVER,
) -> Reasons:
    """Find the smallest clashes of a bench's rules, and the cheapest ways out.

    Args:
        bench: what has no composition.
        refusal: what the solver was given.
        names: known materials to try beside the shelf; by default all that are not on it.
        most_clashes: so many clashes at most.
        most_ways: so many concessions, and so many materials, at most.
        deadline: when to leave the rest undone; each search has its part of the time.
    """
    return Searches(bench, refusal, deadline).reasons(names, most_clashes, most_ways)


class Searches:
    """What is looked for where there is no composition, one thing after the other.

    Args:
        bench: what has no composition.
        refusal: what the solver was given.
        deadline: when to leave the rest undone; each search has its part of the time.
    """

    def __init__(self, bench: Bench, refusal: Refusal, deadline: Deadline = NEVER) -> None:
        self._bench, self._refusal, self._whole = bench, refusal, deadline
        self._deadline = deadline.for_explaining(0.0, REFUSAL_S)
        self._proof: ProvedInfeasible | ProvedNowhere | Unproved | None = None
        self.undone: set[Search] = set()
        self.tried = 0

    def reasons(
        self, names: Sequence[str] | None = None, most_clashes: int = 5, most_ways: int = 5
    ) -> Reasons:
        """All of it, as ``reasons`` gives it."""
        found = Reasons(
            proof=self.proof(),
            clashes=self.clashes(most_clashes),
            concessions=self.concessions(most_ways),
            purchases=self.purchases(most_ways, names),
            tried=self.tried,
            undone=frozenset(),
        )
        return replace(found, undone=frozenset(self.undone))

    def proof(self, *, asked: bool = False) -> ProvedInfeasible | ProvedNowhere | Unproved:
        """That no composition keeps all the rules; it is worked out once.

        Args:
            asked: whether it is asked for by itself and may take all the time there is.
        """
        if self._proof is None and asked:
            self._proof = _proof(self._bench, self._refusal, self._whole)
            self._deadline = self._whole.for_explaining(0.0, REFUSAL_S)
        if self._proof is None:
            self._proof = _proof(self._bench, self._refusal, self._deadline.part(0.3))
        return self._proof

    def clashes(self, most: int) -> Clashes:
        """The smallest sets of rules that cannot hold together; never none at all."""
        until = self._deadline.part(0.4)
        found = _clashes(self._bench, self._refusal, most, until)
        if not found.found:
            one, sure = irreducible(self._refusal.program, deadline=self._deadline.part(0.3))
            found = Clashes((one,), complete=False, asked=found.asked, smallest=False)
            if not sure:
                self.undone.add(Search.CLASHES)
        self._note(Search.CLASHES, until)
        return found

    def concessions(self, most: int) -> tuple[Concession, ...]:
        """Rules that could give way."""
        until = self._deadline.part(0.6)
        strength = strength_of_some(self._bench, self._refusal)
        found = concessions(
            self._bench, self._refusal, strength=strength, most=most, deadline=until
        )
        self._note(Search.CONCESSIONS, until)
        return found

    def purchases(self, most: int, names: Sequence[str] | None = None) -> tuple[Purchase, ...]:
        """Materials that could be bought, of those named or else of all that are known."""
        found: tuple[Purchase, ...] = ()
        if not self._deadline.passed():
            several = self._bench.off_the_shelf if names is None else names
            tried, wide = borne_by(self._bench, several)
            self.tried = len(tried)
            found = purchases(
                wide,
                tried,
                strength=strength_of_some(self._bench, self._refusal),
                also=self._refusal.also,
                most=most,
                deadline=self._deadline,
            )
        self._note(Search.PURCHASES, self._deadline)
        return found

    def _note(self, search: Search, until: Deadline) -> None:
        if until.passed():
            self.undone.add(search)


def _proof(
    bench: Bench, refusal: Refusal, deadline: Deadline
) -> ProvedInfeasible | ProvedNowhere | Unproved:
    """Whatever the ionic strength, where pH is ruled; rows at one alone would prove nothing."""
    if refusal.parts:
        written = written_for(bench, refusal.also)
        return prove_nowhere(bench, written, refusal.parts, deadline)
    if speaks_of_water(bench.brief):
        return Unproved("asked at one ionic strength only")
    start = stuck_at(refusal.program, deadline)
    return prove_infeasible(refusal.program, deadline=deadline, start=start)


def _clashes(bench: Bench, refusal: Refusal, most: int, deadline: Deadline) -> Clashes:
    """The smallest clashes; one at least where no single cell of pH and salt shows any."""
    if len(refusal.parts) <= 1:
        return clashes(refusal.program, most=most, deadline=deadline)
    until = deadline.within(PARED_S)
    present = [rule.id for rule in bench.brief.rules]
    for name in list(present):
        fewer = [other for other in present if other != name]
        if not until.passed() and _refused(bench, fewer, refusal, until):
            present = fewer
    one = Clash(tuple(present), inf)
    return Clashes((one,), complete=False, asked=len(bench.brief.rules), smallest=False)


def _refused(bench: Bench, present: Sequence[str], refusal: Refusal, deadline: Deadline) -> bool:
    gone = [rule.id for rule in bench.brief.rules if rule.id not in present]
    fewer = conceding(bench, (), gone)
    outcome, _, _ = least(fewer, also=refusal.also, deadline=deadline)
    return isinstance(outcome, Infeasible)
