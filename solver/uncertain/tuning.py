"""For which share of its ranges a rule must hold to be kept in a given share of lots."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import isclose

import numpy as np

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.lots import Lots
from ...constraints.model.rule import Limited, Rule, Side
from ...constraints.model.uncertainty import Together, Uncertainty
from ...constraints.rules.extreme import extreme
from ..cheapest.cheapest import least
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import ionic_strength
from ..program.outcome import Optimal
from ..strength.composing import composed
from .confidence import at_most
from .demand import ALWAYS, demanded, moved_by_lots
from .draws import SEED, Spread, drawn
from .gathering import worse_lots
from .leaning import leaning

_ROUNDS = 10
_HALVINGS = 5
_GATHERINGS = 60  # each brings vertices of the set that were not known before
_SAME_SCALE = 1e-2
_NOWHERE = 1e-9  # lots that move a rule by less do not move it


@dataclass(frozen=True, slots=True)
class Tuned:
    """What a share of lots comes to.

    Args:
        scales: rule -> the share of every range for which it is to hold [1].
        known: the set, with the addition on which the composition leans.
        kept: whether a composition keeps the rules so.
        strength: an ionic strength near that of the answer [mol/kg water].
    """

    scales: Mapping[str, float]
    known: Uncertainty
    kept: bool
    strength: float = 0.0


def allowed(share: float, draws: int) -> int:
    """How many draws may break a rule for the confidence bound on its share to stay below."""
    count = int(share * draws)
    while count > 0 and at_most(count, draws) > share:
        count -= 1
    return count


def tuned(
    bench: Bench,
    known: Uncertainty,
    out: int,
    draws: int,
    deadline: Deadline = NEVER,
    *,
    begin: Tuned | None = None,
) -> Tuned:
    """For each rule the share of the ranges that leaves no more draws outside than allowed.

    The cheapest composition for one set of shares tells the next. A step after which no
    composition keeps the rules is taken half as far.

    Args:
        bench: what was read.
        known: the set.
        out: how many draws may break a rule.
        draws: how many are drawn.
        deadline: when to give up.
        begin: from where to go on, which a composition keeps; without it typical lots.
    """
    asked = _Asked(bench, known, out, draws, deadline)
    scales = dict(begin.scales if begin else dict.fromkeys(asked.rules, 0.0))
    strength = begin.strength if begin else 0.0
    leant, composition = asked.solved(scales, strength)
    if composition is None:
        return Tuned(scales, leant, kept=False)
    for turn in range(_ROUNDS):
        needed = asked.needed(composition, leant)
        if turn >= _ROUNDS // 2:  # compositions that take turns: hold for all of them
            needed = {name: max(scale, scales[name]) for name, scale in needed.items()}
        strength = ionic_strength(bench, composition)
        if all(isclose(needed[one], scales[one], abs_tol=_SAME_SCALE) for one in needed):
            break
        step = asked.towards(scales, needed, strength)
        if step is None:
            return Tuned(needed, leant, kept=False, strength=strength)
        scales, leant, composition = step
    return Tuned(scales, leant, kept=True, strength=strength)


@dataclass(frozen=True, slots=True)
class _Asked:
    """One question of how far."""

    bench: Bench
    known: Uncertainty
    out: int
    draws: int
    deadline: Deadline

    @property
    def rules(self) -> tuple[str, ...]:
        return tuple(rule.id for rule in self.bench.brief.rules if moved_by_lots(rule))

    def solved(
        self, scales: Mapping[str, float], start: float
    ) -> tuple[Uncertainty, Composition | None]:
        """The cheapest composition for some scales, and the set with what it leans on."""
        leant = leant_on(self.bench, self.known, scales, self.deadline, start)
        if leant is None:
            return self.known, None
        demand = demanded(self.bench, leant.known, scales)
        outcome, _, _ = least(demand, start=leant.strength, deadline=self.deadline)
        return leant.known, composed(self.bench, outcome) if isinstance(outcome, Optimal) else None

    def towards(
        self, here: Mapping[str, float], there: Mapping[str, float], start: float
    ) -> tuple[dict[str, float], Uncertainty, Composition] | None:
        """As far from one set of scales to another as a composition can follow."""
        part = 1.0
        for _ in range(_HALVINGS):
            scales = {name: here[name] + part * (there[name] - here[name]) for name in there}
            known, composition = self.solved(scales, start)
            if composition is not None:
                return scales, known, composition
            part /= 2.0
        return None

    def needed(self, composition: Composition, known: Uncertainty) -> dict[str, float]:
        lots = both_ends(self.bench, composition, known, draws=self.draws, seed=SEED)
        out = self.out * lots[0].count // self.draws  # fewer came where few go with readings
        return {
            rule.id: _scale(rule, lots, self.known, out)
            for rule in self.bench.brief.rules
            if moved_by_lots(rule)
        }


@dataclass(frozen=True, slots=True)
class Leant:
    """A set with the best addition, and an ionic strength near that of the answer [mol/kg]."""

    known: Uncertainty
    strength: float


def leant_on(
    bench: Bench,
    known: Uncertainty,
    scales: Mapping[str, float],
    deadline: Deadline,
    start: float = 0.0,
) -> Leant | None:
    """The set with the best addition for some scales; ``None`` where none lets rules be kept.

    Where readings tie lots, with the worst of them that a composition comes to lean against.
    """
    for _ in range(_GATHERINGS):
        found = leaning(bench, known, scales, deadline, start)
        if found is None:
            return None
        leant = Leant(_with(known, found.most), found.strength)
        more = _more(bench, leant, scales, deadline) if known.cuts else {}
        if not more:
            break
        worst = {
            rule: (*known.worst.get(rule, ()), *more.get(rule, ()))
            for rule in (*known.worst, *more)
        }
        known, start = replace(known, worst=worst), leant.strength
    return leant


def _with(known: Uncertainty, most: float) -> Uncertainty:
    added = known.correction
    return known if added is None else replace(known, correction=replace(added, most=most))


def _more(
    bench: Bench, leant: Leant, scales: Mapping[str, float], deadline: Deadline
) -> Mapping[str, tuple[Together, ...]]:
    asked = demanded(bench, leant.known, scales)
    outcome, rows, _ = least(asked, start=leant.strength, deadline=deadline)
    return worse_lots(asked, outcome.x, rows.ionic_strength) if isinstance(outcome, Optimal) else {}


def both_ends(
    bench: Bench,
    composition: Composition,
    known: Uncertainty,
    *,
    draws: int,
    seed: int,
    spread: Spread = Spread.EVEN,
) -> tuple[Lots, ...]:
    """Lots of a composition as it is weighed, and the same lots with the most that is added."""
    added = known.correction
    if added is None:
        return (drawn(bench, composition, known, count=draws, seed=seed, spread=spread),)
    parts = {added.material.name: 0.0, **composition.parts}
    made = replace(composition, parts=parts)
    lots = drawn(bench, made, known, count=draws, seed=seed, spread=spread)
    more = lots.mix.with_more(added.material, added.price, added.most)
    return lots, replace(lots, mix=more, asked={}, held={})


def _scale(rule: Rule, ends: Sequence[Lots], known: Uncertainty, out: int) -> float:
    """The share of the ranges whose worst lot is as far out as the last draw that must be kept."""
    if not isinstance(rule, Limited):
        return ALWAYS
    choose = min if rule.corrected else max  # either end will do, or both must
    reaches = [
        choose(_reach(rule, side, lots, known, out // len(rule.limits())) for lots in ends)
        for side in rule.limits()
    ]
    return min(max(reaches, default=0.0), ALWAYS)


def _reach(rule: Limited, side: Side, lots: Lots, known: Uncertainty, out: int) -> float:
    values = rule.value_in(lots)
    typical = rule.judged(lots.mix).value
    if typical is None or np.isnan(values).any():
        return 0.0
    place = out if side == "low" else len(values) - 1 - out
    last = float(np.partition(values, place)[place])
    worst, _ = extreme(rule, lots.mix, known, 1.0 if side == "low" else -1.0)
    apart = worst - typical
    return max(0.0, (last - typical) / apart) if abs(apart) > _NOWHERE else 0.0
