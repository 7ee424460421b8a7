"""What was found of some scenarios, side by side."""

from dataclasses import dataclass

import numpy as np

from ...constraints.model.brief import Bench
from ...constraints.model.lots import Flags, Floats
from ..program.outcome import Stopped
from .anew import solved_anew
from .changing_rows import ChangingRows
from .scenario import Scenario
from .warm import shares_of


@dataclass(frozen=True, slots=True)
class Found:
    """The cheapest composition of each.

    Args:
        costs: [N] not a number where there is none [money/kg].
        shares: [N, n] [kg/kg].
        untold: [N] where it could not be told whether there is one.
        anew: [N] which of them were asked from cold.
    """

    costs: Floats
    shares: Floats
    untold: Flags
    anew: Flags

    @classmethod
    def none_of(cls, count: int, width: int) -> "Found":
        """Nothing yet of [N] scenarios over [n] materials."""
        flags = np.zeros(count, dtype=np.bool_)
        return cls(np.full(count, np.nan), np.zeros((count, width)), flags, flags.copy())

    def put(
        self,
        place: int,
        scenario: Scenario,
        bench: Bench,
        strength: float,
        rows: ChangingRows | None,
    ) -> None:
        """Ask for one of them: as its rows differ from the last, where these are held; else anew.

        Raises:
            CheckFailedError: when it breaks a rule by the independent check.
        """
        self.costs[place], self.shares[place] = np.nan, 0.0
        found = None if rows is None else rows.cheapest(scenario)
        if found is None:
            self.anew[place] = True
            anew = solved_anew(scenario.over(bench), scenario.missing, strength)
            if isinstance(anew, Stopped):
                self.untold[place] = True
                return
            found = anew
        if found is not None:
            self.costs[place], self.shares[place] = found[0], shares_of(bench, found[1])
