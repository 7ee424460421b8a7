"""A shelf held in the solver whose rows are others in every scenario: other lots, other limits."""

from ...constraints.model.brief import Bench, Composition
from ...constraints.rules.rows import rows_of
from ..cheapest.cheapest import program_of
from ..program.fixed_point import at_rest, ionic_strength
from ..program.outcome import Optimal
from ..program.reshaped import Reshaped
from ..strength.composing import composed, kept
from .scenario import Scenario
from .warm import every_way

ROUNDS = 5
"""Rounds in which an ionic strength comes to rest, or is left to who asks from cold."""


class ChangingRows:
    """A bench asked again as it is in each of many scenarios, from the last basis."""

    def __init__(self, bench: Bench, strength: float) -> None:
        """Hold a bench.

        Args:
            bench: as it is today.
            strength: ionic strength to begin with [mol/kg water].
        """
        self._bench, self._strength = bench, strength
        program = program_of(rows_of(bench, strength), bench.prices)
        self._held = Reshaped(program, tuple(every_way(program)))

    def cheapest(self, scenario: Scenario) -> tuple[float, Composition] | None:
        """Cost [money/kg] and composition of the cheapest, at its own ionic strength.

        ``None`` where there is none at the strengths that were tried, or it did not come to rest,
        or breaks a rule by the independent check: to be asked from cold, at every strength.
        """
        bench = scenario.over(self._bench)
        out = [bench.material_names.index(name) for name in sorted(scenario.missing)]
        strength = self._strength
        for _ in range(ROUNDS):
            rows = rows_of(bench, strength)
            found = self._held.least(rows.rows, scenario.prices, out)
            if found is None:
                return None
            optimal = Optimal(found[0], tuple(found[1].tolist()), (), (), None)
            composition = composed(bench, optimal)
            own = ionic_strength(bench, composition)
            if at_rest(own, strength):
                return (found[0], composition) if kept(bench, composition) else None
            strength = own
        return None
