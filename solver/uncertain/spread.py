"""A composition over the lots that may come: how far each rule reaches, and how often it breaks."""

from dataclasses import dataclass

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.rule import Limited, Rule
from ...constraints.model.uncertainty import Uncertainty
from ...constraints.rules.extreme import extreme
from ...constraints.rules.judging import mix_of
from .confidence import at_least, at_most
from .demand import moved_by_lots
from .draws import DRAWS, FRESH_SEED, Spread, drawn
from .tried import RuleTried, tried

_NOTHING = 1e-9  # in any unit: lots do not move what they move by less

EACH_SIDE = 0.975
"""How sure each end of an interval is, so that both are 19 times in 20."""


@dataclass(frozen=True, slots=True)
class Between:
    """A share of lots, between what the draws bear out 19 times in 20 [1]."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Reach:
    """What lots do to one rule.

    Args:
        rule: the rule.
        least, greatest: what it is about over the whole set, in the unit of its limits; ``None``
            where it has no value.
        typical: in typical lots.
        broken: the share of lots that break it.
        tried: the draws.
    """

    rule: Rule
    least: float | None
    typical: float | None
    greatest: float | None
    broken: Between
    tried: RuleTried


@dataclass(frozen=True, slots=True)
class Borne:
    """What lots do to a composition.

    Args:
        reaches: of every rule that lots move; a law counts as it counts, and is not among them.
        broken: the share of lots that break any of these rules.
        lots: how many were drawn.
    """

    reaches: tuple[Reach, ...]
    broken: Between
    lots: int


def borne(
    bench: Bench,
    composition: Composition,
    within: Uncertainty | None = None,
    *,
    draws: int = DRAWS,
    ends: bool = True,
) -> Borne:
    """What the lots that may come do to a composition, before anything is added at the bench.

    Args:
        bench: what was read.
        composition: what is made.
        within: the set; without it whatever the certificates allow.
        draws: independent lots, of which the shares are told.
        ends: whether to look for the least and the greatest of each rule too, which takes longer.

    Raises:
        KeyError: when the composition names a material that is not on the shelf.
    """
    known = within or Uncertainty()
    lots = drawn(bench, composition, known, count=draws, seed=FRESH_SEED, spread=Spread.INDEPENDENT)
    rules = tuple(rule for rule in bench.brief.rules if moved_by_lots(rule))
    found = tried(rules, lots)
    mix = mix_of(bench, composition)
    reaches = []
    for one in found.rules:
        typical = one.rule.judged(mix).value
        least = greatest = None
        if ends and typical is not None and isinstance(one.rule, Limited):
            least, greatest = (extreme(one.rule, mix, known, sense)[0] for sense in (1.0, -1.0))
            if greatest - least < _NOTHING:
                least = greatest = typical
        broken = between(one.broken, one.of)
        reaches.append(Reach(one.rule, least, typical, greatest, broken, one))
    return Borne(tuple(reaches), between(found.broken, found.of), lots.count)


def between(seen: int, of: int) -> Between:
    """The share of lots of which ``seen`` of ``of`` draws were."""
    return Between(at_least(seen, of, EACH_SIDE), at_most(seen, of, EACH_SIDE))
