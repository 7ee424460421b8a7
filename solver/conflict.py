"""Why there is no answer: every smallest set of rules that cannot hold together.

Clashes and cures are each other's shadow. A set of rules whose absence makes the program possible
must take one rule from every clash; so the smallest sets that take one rule from every clash known
so far are tried in turn. Where the rest still has no answer, a clash not known before lies in it
and is pared down; where it has one, the set is a cure. When nothing is left to try, all clashes and
all cures are known.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ..constraints.row import WHOLE
from .elastic import Elastic, Reply
from .outcome import Program

if TYPE_CHECKING:
    from .proof import ProvedInfeasible

MOST_CANDIDATES = 5000
"""More sets to try than this at once and the search is cut short."""


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
        cures: minimal sets of rules whose absence makes the program possible, each tried, fewest
            rules first.
        complete: whether these are all clashes and all cures; if not, smaller ones may be missing.
        asked: how many times the solver was asked.
    """

    found: tuple[Clash, ...]
    cures: tuple[tuple[str, ...], ...]
    complete: bool
    asked: int


def clashes(
    program: Program,
    keep: frozenset[str] = frozenset({WHOLE}),
    *,
    most: int = 20,
    most_asked: int = 2000,
    prove: bool = True,
) -> Clashes:
    """Find the minimal clashes of a program's rules.

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

    Returns:
        Clashes and cures, and whether the search was exhausted or cut short.
    """
    found = _Search(Elastic(program, keep), most_asked).run(most)
    if found.found and not found.found[0].rules and any(r.rule in keep for r in program.rows):
        program, keep = _only(program, keep), frozenset()
        found = _Search(Elastic(program, keep), most_asked).run(most)
    if not prove:
        return found
    return replace(found, found=tuple(_proved(program, keep, clash) for clash in found.found))


def _only(program: Program, rules: frozenset[str]) -> Program:
    return replace(program, rows=tuple(row for row in program.rows if row.rule in rules))


def _proved(program: Program, keep: frozenset[str], clash: Clash) -> Clash:
    from .proof import ProvedInfeasible, prove_infeasible

    refusal = prove_infeasible(_only(program, keep | set(clash.rules)))
    return replace(clash, proof=refusal if isinstance(refusal, ProvedInfeasible) else None)


class _CutShortError(Exception):
    """The solver was asked as often as allowed, or could not tell."""


class _Search:
    """What is known of the clashes so far; sets of rules are bits of ``Elastic.rules``."""

    def __init__(self, elastic: Elastic, most_asked: int) -> None:
        self._elastic = elastic
        self._most_asked = most_asked
        self._asked = 0
        self._possible: list[int] = []
        self._found: list[tuple[int, float]] = []
        self._cures: list[int] = []

    def run(self, most: int) -> Clashes:
        try:
            complete = self._exhaust(most)
        except _CutShortError:
            complete = False
        found = sorted(self._found, key=lambda clash: (clash[0].bit_count(), _lowest(clash[0])))
        named = self._elastic.named
        return Clashes(
            found=tuple(Clash(named(rules), violation) for rules, violation in found),
            cures=tuple(map(named, self._cures)) if found else (),
            complete=complete,
            asked=self._asked,
        )

    def _exhaust(self, most: int) -> bool:
        candidates = [0]
        while candidates:
            absent = min(candidates, key=lambda rules: (rules.bit_count(), _lowest(rules)))
            clash = self._clash_without(absent)
            if clash is None:
                self._cures.append(absent)
                candidates.remove(absent)
            else:
                self._found.append(clash)
                candidates = _crossed(candidates, self._cures, clash[0])
                if len(self._found) >= most or len(candidates) > MOST_CANDIDATES:
                    return not candidates
        return True

    def _clash_without(self, absent: int) -> tuple[int, float] | None:
        """A minimal clash among the other rules, or ``None`` if they hold together."""
        present = self._elastic.everything & ~absent
        reply = self._reply(present)
        return None if reply is None else self._pared(present, reply)

    def _pared(self, present: int, reply: Reply) -> tuple[int, float]:
        """Drop what is not needed for the clash, one rule at a time."""
        rules, violation = present, reply.violation
        narrowed = self._reply(reply.core)
        if narrowed is not None:  # prices too small to see can leave a core that holds
            rules, violation = reply.core, narrowed.violation
        for bit in _bits(rules):
            if not rules & bit:
                continue
            without = self._reply(rules & ~bit)
            if without is None:
                continue
            rules, violation = rules & ~bit, without.violation
            narrowed = self._narrowed(rules, without)
            if narrowed is not None:
                rules, violation = without.core, narrowed.violation
        return rules, violation

    def _narrowed(self, rules: int, reply: Reply) -> Reply | None:
        return self._reply(reply.core) if reply.core != rules else None

    def _reply(self, present: int) -> Reply | None:
        """How the rules clash, or ``None`` if they hold together."""
        if any(present & ~kept == 0 for kept in self._possible):
            return None
        if self._asked >= self._most_asked:
            raise _CutShortError
        self._asked += 1
        reply = self._elastic.ask(present)
        if reply is None:
            raise _CutShortError
        if not reply.holds:
            return reply
        self._possible.append(self._elastic.kept(reply.x) | present)
        return None


def _crossed(candidates: list[int], cures: list[int], clash: int) -> list[int]:
    """The smallest sets that also take a rule from the new clash.

    Those that do already stay; the others take each of its rules in turn, unless that makes them
    larger than one that does. Cures take one from every clash, so they bar larger sets too.
    """
    stay = [rules for rules in candidates if rules & clash]
    barred = stay + cures
    grown = [
        rules | bit
        for rules in candidates
        if not rules & clash
        for bit in _bits(clash)
        if all(other & ~(rules | bit) for other in barred)
    ]
    return stay + grown


def _bits(rules: int) -> list[int]:
    return [1 << k for k in range(rules.bit_length()) if rules >> k & 1]


def _lowest(rules: int) -> list[int]:
    """Rules in the order of the program, to settle ties."""
    return [k for k in range(rules.bit_length()) if rules >> k & 1]
