"""Correction sets, smallest first: rules without which the rest hold together."""

from ..program.relaxed import Elastic, Reply
from .hitting import bits, crossed, size
from .steps import CutShortError

MOST_CANDIDATES = 5000
"""More sets to try than this at once and the search is cut short."""


class CureSearch:
    """Cures, smallest first; sets of rules are bits of ``Elastic.rules``."""

    def __init__(self, elastic: Elastic, most_asked: int) -> None:
        self.cures: list[int] = []
        self.asked = 0
        self._elastic = elastic
        self._most_asked = most_asked
        self._possible: list[int] = []

    def run(self, most: int, most_rules: int) -> bool:
        """Search; whether all cures were found."""
        candidates = [0]
        try:
            while candidates and len(self.cures) < most and len(candidates) <= MOST_CANDIDATES:
                absent = min(candidates, key=size)
                if absent.bit_count() > most_rules:
                    return False
                candidates = self._tried(absent, candidates)
        except CutShortError:
            return False
        return not candidates

    def _tried(self, absent: int, candidates: list[int]) -> list[int]:
        clash = self._pared(self._elastic.everything & ~absent)
        if clash is None:
            self.cures.append(absent)
            return [other for other in candidates if other != absent]
        return crossed(candidates, self.cures, clash)

    def _pared(self, present: int) -> int | None:
        """A minimal clash among these rules, or ``None`` if they hold together."""
        core = self._core(present)
        if core is None:
            return None
        for bit in bits(core):
            smaller = self._core(core & ~bit) if core & bit else None
            core = core if smaller is None else smaller
        return core

    def _core(self, present: int) -> int | None:
        """Some of the rules that already clash, or ``None`` if all hold together."""
        if any(not present & ~kept for kept in self._possible):
            return None
        reply = self._reply(present)
        if reply.holds:
            self._possible.append(self._elastic.kept(reply.x) | present)
            return None
        if reply.core == present:
            return present
        # prices too small to see can leave a core that holds
        return reply.core if not self._reply(reply.core).holds else present

    def _reply(self, present: int) -> Reply:
        if self.asked >= self._most_asked:
            raise CutShortError
        self.asked += 1
        reply = self._elastic.ask(present)
        if reply is None:
            raise CutShortError
        return reply
