"""Why there is no answer: the smallest sets of rules that cannot hold together.

A clash is an irreducible infeasible set, a cure a correction set: rules whose absence makes the
program possible. Each is the other's hitting set: a clash takes a rule from every cure, and a cure
one from every clash. So the smallest
sets that take one from each of those known so far are tried in turn. Looking for clashes, such a
set either cannot hold together, and then no smaller clash was overlooked, or a point keeps it, and
what that point cannot be brought to keep is a cure not known before. Looking for cures is the same
with the sides changed. When nothing is left to try, all are known.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ...constraints.model.row import WHOLE
from ..program.deadline import NEVER, Deadline
from ..program.outcome import Program
from ..program.relaxed import Elastic, Reply
from .cure_search import MOST_CANDIDATES, CureSearch
from .hitting import bits, crossed, size
from .steps import CutShortError

if TYPE_CHECKING:
    from ..proof.proved import ProvedInfeasible


@dataclass(frozen=True, slots=True)
class Clash:
    """Rules that cannot all hold, though they could with any one of them gone.

    Args:
        rules: in the order of the program; empty when the columns' own bounds are impossible.
        violation: the least total by which a point must miss them, each row divided by its
            largest coefficient; ``inf`` for bounds that cross. A lower bound where there are
            choices.
        proof: an exact certificate over these rules and those always kept; ``None`` where it was
            not asked for or not reached, and the clash rests on ``violation`` alone.
    """

    rules: tuple[str, ...]
    violation: float
    proof: "ProvedInfeasible | None" = None


@dataclass(frozen=True, slots=True)
class Clashes:
    """What stands in the way of an answer.

    Args:
        found: minimal clashes, those of fewest rules first; none when the program has an answer.
        complete: whether these are all; if not, there may be more, though none of fewer rules than
            the last of these.
        asked: how many times the solver was asked.
        smallest: whether none is of fewer rules than these.
    """

    found: tuple[Clash, ...]
    complete: bool
    asked: int
    smallest: bool = True


@dataclass(frozen=True, slots=True)
class Cures:
    """What could be left out for an answer.

    Args:
        found: minimal sets of rules whose absence makes the program possible, each tried, those of
            fewest rules first; none when the program has an answer, or has none without any rule.
        complete: whether these are all; if not, there may be more, though none of fewer rules.
        asked: how many times the solver was asked.
    """

    found: tuple[tuple[str, ...], ...]
    complete: bool
    asked: int


def clashes(
    program: Program,
    keep: frozenset[str] = frozenset({WHOLE}),
    *,
    most: int = 5,
    most_asked: int = 2000,
    prove: bool = True,
    deadline: Deadline = NEVER,
) -> Clashes:
    """Find the smallest clashes of a program's rules.

    Rows are grouped into rules by ``Row.rule``; a rule is present with all its rows or not at all.
    Rules count as clashing only when the least violation of their rows is found and lies above
    ``elastic.TOLERANCE``; that each could be dropped is shown by a point that keeps the others.

    Args:
        program: its costs play no part; column bounds always hold.
        keep: rules always present and not part of a clash, unless they clash among themselves:
            then the clashes are theirs.
        most: stop after so many clashes.
        most_asked: stop after asking the solver so often.
        prove: whether to certify each clash in exact rationals as well.
        deadline: when to stop.
    """
    limit = _Limit(most, most_asked, deadline)
    found = _clashes(program, keep, limit)
    if found.found and not found.found[0].rules and any(r.rule in keep for r in program.rows):
        program, keep = only(program, keep), frozenset()
        found = _clashes(program, keep, limit)
    if not prove:
        return found
    proved = tuple(_proved(program, keep, clash, deadline) for clash in found.found)
    return replace(found, found=proved)


def cures(
    program: Program,
    keep: frozenset[str] = frozenset({WHOLE}),
    *,
    most: int = 20,
    most_rules: int = 3,
    most_asked: int = 2000,
    deadline: Deadline = NEVER,
) -> Cures:
    """Find the smallest sets of rules that could be left out for an answer.

    Args:
        program: its costs play no part; column bounds always hold.
        keep: rules always present.
        most: stop after so many cures.
        most_rules: stop when only cures of more rules are left.
        most_asked: stop after asking the solver so often.
        deadline: when to stop.
    """
    elastic = Elastic(program, keep, deadline)
    search = CureSearch(elastic, most_asked)
    complete = search.run(most, most_rules)
    named = tuple(elastic.named(cure) for cure in search.cures if cure)
    return Cures(named, complete, search.asked)


@dataclass(frozen=True, slots=True)
class _Limit:
    """How long to go on."""

    most: int
    most_asked: int
    deadline: Deadline


def _clashes(program: Program, keep: frozenset[str], limit: _Limit) -> Clashes:
    elastic = Elastic(program, keep, limit.deadline)
    search = _ClashSearch(elastic, limit.most_asked)
    complete = search.run(limit.most)
    found = tuple(Clash(elastic.named(rules), violation) for rules, violation in search.found)
    return Clashes(found, complete, search.asked)


def only(program: Program, rules: frozenset[str]) -> Program:
    """The program with no other rules than these."""
    return replace(program, rows=tuple(row for row in program.rows if row.rule in rules))


def _proved(program: Program, keep: frozenset[str], clash: Clash, deadline: Deadline) -> Clash:
    from ..proof.proof import prove_infeasible
    from ..proof.proved import ProvedInfeasible

    refusal = prove_infeasible(only(program, keep | set(clash.rules)), deadline=deadline)
    return replace(clash, proof=refusal if isinstance(refusal, ProvedInfeasible) else None)


class _ClashSearch:
    """Clashes, smallest first; sets of rules are bits of ``Elastic.rules``."""

    def __init__(self, elastic: Elastic, most_asked: int) -> None:
        self.found: list[tuple[int, float]] = []
        self.asked = 0
        self._elastic = elastic
        self._most_asked = most_asked
        self._possible: list[int] = []

    def run(self, most: int) -> bool:
        """Search; whether all clashes were found."""
        candidates = [0]
        try:
            while candidates and len(self.found) < most and len(candidates) <= MOST_CANDIDATES:
                rules = min(candidates, key=size)
                candidates = self._tried(rules, candidates)
        except CutShortError:
            return False
        return not candidates

    def _tried(self, rules: int, candidates: list[int]) -> list[int]:
        clashes = [clash for clash, _ in self.found]
        kept = self._kept(rules)
        if kept is None:
            reply = self._violation(rules)
            if not reply.holds:
                self.found.append((rules, reply.violation))
                return [other for other in candidates if other != rules]
            kept = self._elastic.kept(reply.x) | rules
        cure = self._elastic.everything & ~self._grown(kept)
        return crossed(candidates, clashes, cure)

    def _grown(self, kept: int) -> int:
        """As many rules as can be brought to hold together with these."""
        clashes = [clash for clash, _ in self.found]
        for bit in bits(self._elastic.everything & ~kept):
            more = kept | bit
            if more != kept and all(clash & ~more for clash in clashes):
                kept = self._kept(more) or kept
        return kept

    def _kept(self, rules: int) -> int | None:
        """Rules that a point keeps together with these, ``None`` if none was found."""
        for kept in self._possible:
            if not rules & ~kept:
                return kept
        self._count()
        found = self._elastic.nearest(rules)
        if found is not None:
            self._possible.append(found)
        return found

    def _violation(self, rules: int) -> Reply:
        self._count()
        reply = self._elastic.ask(rules)
        if reply is None:
            raise CutShortError
        return reply

    def _count(self) -> None:
        if self.asked >= self._most_asked:
            raise CutShortError
        self.asked += 1
