"""A limit of a rule that stands elsewhere from scenario to scenario."""

from collections.abc import Sequence
from dataclasses import dataclass

from ...constraints.model.brief import Bench
from ...constraints.model.rule import Limited, Side


@dataclass(frozen=True, slots=True)
class MovedLimit:
    """Where a limit may stand, in the canonical unit of its rule.

    Args:
        rule: its id.
        side: which limit of it, "low" or "high".
        places: taken in turn; or the two ends of a range, with any place between alike likely.
        drawn: whether they are the ends of a range.
    """

    rule: str
    side: Side
    places: tuple[float, ...]
    drawn: bool = False

    def at(self, drawn: float, turn: int) -> float:
        """Where it stands.

        Args:
            drawn: how far along its range [1].
            turn: whose turn it is.
        """
        if not self.drawn:
            return self.places[turn % len(self.places)]
        low, high = self.places
        return low + (high - low) * drawn


def moved(bench: Bench, limits: Sequence[tuple[MovedLimit, float]]) -> Bench:
    """The bench with limits elsewhere.

    Raises:
        KeyError: when the brief has no such rule, or it has no such limit.
    """
    if not limits:
        return bench
    rules = {rule.id: rule for rule in bench.brief.rules}
    for limit, place in limits:
        rule = rules[limit.rule]
        if not isinstance(rule, Limited) or rule.limit(limit.side) is None:
            raise KeyError(f"{limit.rule} has no {limit.side} limit")
        rules[limit.rule] = rule.moved(limit.side, place)
    return bench.with_only(rules.values())
