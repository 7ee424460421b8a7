"""What safety costs, and what knowing a material better would be worth."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...constraints.acidity.ranges import ranges_of
from ...constraints.model.brief import Bench
from ...constraints.model.uncertainty import Uncertainty
from ..cheapest.cheapest import least
from ..program.deadline import NEVER, TIME_RAN_OUT, Deadline
from ..program.outcome import Infeasible, Optimal, Outcome, Stopped
from ..strength.composing import composed
from .demand import demanded, moved_by_lots
from .draws import DRAWS, FRESH_SEED, Spread
from .leaning import leaning_at
from .sure import NotSure, Sure, what_may_come
from .tried import tried
from .tuning import both_ends, leant_on

SCALES = (0.0, 0.25, 0.5, 0.75, 1.0)

FIRST = 5
"""Of so many materials, those worth most, it is told what their contents alone would save."""


@dataclass(frozen=True, slots=True)
class Safety:
    """What one degree of safety costs.

    Args:
        scale: the share of every range for which every rule holds [1].
        cost: of the cheapest composition [money/kg]; ``None`` where none keeps the rules so.
        kept: the share of drawn lots in which it keeps every rule [1]; ``None`` likewise.
        most: the most that is added at the bench [kg per kg of mix].
        enters: materials that the composition before it did without.
        leaves: materials that the composition before it had.
    """

    scale: float
    cost: float | None
    kept: float | None
    most: float
    enters: tuple[str, ...]
    leaves: tuple[str, ...]


def price_of_safety(
    bench: Bench,
    within: Uncertainty | None = None,
    scales: Sequence[float] = SCALES,
    *,
    draws: int = DRAWS,
    deadline: Deadline = NEVER,
) -> tuple[Safety, ...]:
    """The least cost against how much of every range the rules are to hold for.

    Args:
        bench: what was read.
        within: the set; without it as for ``surely``.
        scales: shares of every range, ascending [1].
        draws: lots on which each composition is tried.
        deadline: when to give up.
    """
    known = what_may_come(bench) if within is None else within
    found: list[Safety] = []
    before: frozenset[str] | None = None
    for scale in scales:
        point, used = _safety(bench, known, scale, before, draws, deadline)
        found.append(point)
        before = used or before
    return tuple(found)


def _safety(  # noqa: PLR0917
    bench: Bench,
    known: Uncertainty,
    scale: float,
    before: frozenset[str] | None,
    draws: int,
    deadline: Deadline,
) -> tuple[Safety, frozenset[str] | None]:
    every = {rule.id: scale for rule in bench.brief.rules if moved_by_lots(rule)}
    found = leant_on(bench, known, every, deadline)
    if found is None:
        return Safety(scale, None, None, 0.0, (), ()), None
    leant = found.known
    outcome, _, _ = least(demanded(bench, leant, every), start=found.strength, deadline=deadline)
    most = leant.correction.most if leant.correction else 0.0
    if not isinstance(outcome, Optimal):
        return Safety(scale, None, None, most, (), ()), None
    composition = composed(bench, outcome)
    lots = both_ends(
        bench, composition, leant, draws=draws, seed=FRESH_SEED, spread=Spread.INDEPENDENT
    )
    shown = tried(bench.brief.rules, lots[0], lots[1] if leant.correction else None)
    used = frozenset(composition.parts)
    enters, leaves = (() if before is None else tuple(sorted(one)) for one in _moved(before, used))
    kept = 1.0 - shown.broken / shown.of
    return Safety(scale, outcome.cost, kept, most, enters, leaves), used


def _moved(
    before: frozenset[str] | None, used: frozenset[str]
) -> tuple[frozenset[str], frozenset[str]]:
    there = used if before is None else before
    return used - there, there - used


@dataclass(frozen=True, slots=True)
class Worth:
    """What knowing one material exactly would be worth, if it is as its typical figures say.

    Args:
        material: its name.
        saves: in the cost of a composition that is as sure [money/kg].
        steadier: how much narrower the pH then lies over all lots, the composition as it is [pH];
            ``None`` without a rule on pH.
        by_contents: what knowing its contents alone would save [money/kg]; ``None`` where that was
            not asked, being among the least.
    """

    material: str
    saves: float
    steadier: float | None
    by_contents: float | None = None


def worth_of_knowing(
    bench: Bench,
    sure: Sure,
    within: Uncertainty | None = None,
    *,
    deadline: Deadline = NEVER,
) -> tuple[Worth, ...]:
    """Materials of a composition ranked by what a reading or certificate of each would be worth.

    Args:
        bench: what was read.
        sure: the composition and how sure it is.
        within: the set; without it as for ``surely``.
        deadline: when to give up.
    """
    known = what_may_come(bench) if within is None else within
    found = [
        Worth(
            name,
            max(0.0, sure.finding.cost - _cost(bench, sure, _knowing(known, name), deadline)),
            steadier(bench, sure, known, name),
        )
        for name in sure.finding.composition.parts
        if uncertain(bench, name)
    ]
    ranked = sorted(found, key=lambda one: (-round(one.saves, 6), -(one.steadier or 0.0)))
    return tuple(
        _by_contents(bench, sure, known, one, deadline) if place < FIRST else one
        for place, one in enumerate(ranked)
    )


def _by_contents(
    bench: Bench, sure: Sure, known: Uncertainty, one: Worth, deadline: Deadline
) -> Worth:
    """The same with what its contents alone would save: no more than all that is known of it."""
    certified = replace(known, certified=known.certified | {one.material})
    saved = sure.finding.cost - _cost(bench, sure, certified, deadline)
    return replace(one, by_contents=min(max(0.0, saved), one.saves))


def uncertain(bench: Bench, name: str) -> bool:
    """Whether anything of a material lies in a range."""
    ranges = ranges_of(Uncertainty(), bench.material(name), bench.item(name).price)
    return any(span.low < span.high for span in (*ranges.contents, ranges.alkalinity))


def _knowing(known: Uncertainty, name: str) -> Uncertainty:
    return replace(known, known=known.known | {name})


def _cost(bench: Bench, sure: Sure, known: Uncertainty, deadline: Deadline) -> float:
    """Of the cheapest composition that is as sure; as it is where none was found."""
    strength = sure.finding.rows.ionic_strength
    if not known.cuts:
        near = leaning_at(bench, known, sure.scales, strength, deadline)
        return sure.finding.cost if near is None else near
    leant = leant_on(bench, known, sure.scales, deadline, strength)
    if leant is None:
        return sure.finding.cost
    found, _, _ = least(
        demanded(bench, leant.known, sure.scales), start=leant.strength, deadline=deadline
    )
    return found.cost if isinstance(found, Optimal) else sure.finding.cost


def steadier(bench: Bench, sure: Sure, known: Uncertainty, name: str) -> float | None:
    """How much narrower the range of pH over all lots is once a material is known [pH]."""
    from ...constraints.rules.acidity import band_of
    from ...constraints.rules.extreme import extreme
    from ...constraints.rules.judging import mix_of

    band = band_of(bench.brief)
    if band is None:
        return None
    mix = mix_of(bench, sure.finding.composition)
    wide, narrow = (
        extreme(band, mix, one, -1.0)[0] - extreme(band, mix, one, 1.0)[0]
        for one in (known, _knowing(known, name))
    )
    return wide - narrow


@dataclass(frozen=True, slots=True)
class Freeing:
    """Materials of which readings or certificates would make a demand for safety possible.

    Args:
        materials: known exactly, they free it; without any one of them they do not.
        smallest: whether no smaller set frees it.
    """

    materials: tuple[str, ...]
    smallest: bool


def freeing(
    bench: Bench,
    refused: NotSure,
    within: Uncertainty | None = None,
    *,
    deadline: Deadline = NEVER,
) -> Freeing | Stopped | None:
    """The uncertainties that stand in the way of a demand for safety.

    A single material that frees it is looked for first. Else all are taken as known and given back
    one by one, as long as some composition still keeps the rules: what cannot be given back frees
    it and has nothing to spare.

    Returns:
        The set; ``None`` where no composition keeps the rules even with every material known, and
        ``Stopped`` where there was no time to tell.
    """
    try:
        return _freeing(bench, refused, within, deadline)
    except _CutShortError:
        return Stopped(TIME_RAN_OUT)


class _CutShortError(Exception):
    """There was no time to tell."""


def _freeing(
    bench: Bench, refused: NotSure, within: Uncertainty | None, deadline: Deadline
) -> Freeing | None:
    known = what_may_come(bench) if within is None else within
    names = [name for name in bench.material_names if uncertain(bench, name)]

    def frees(taken: frozenset[str]) -> bool:
        asked = replace(known, known=known.known | taken)
        leant = leant_on(bench, asked, refused.scales, deadline)
        found: Outcome = Infeasible()
        if leant is not None:
            demand = demanded(bench, leant.known, refused.scales)
            found, _, _ = least(demand, start=leant.strength, deadline=deadline)
        if not isinstance(found, Optimal) and (isinstance(found, Stopped) or deadline.passed()):
            raise _CutShortError
        return isinstance(found, Optimal)

    left = frozenset(names)
    if not frees(left):
        return None
    for name in names:
        if frees(frozenset({name})):
            return Freeing((name,), smallest=True)
    for name in names:
        if frees(left - {name}):
            left -= {name}
    return Freeing(tuple(name for name in names if name in left), smallest=len(left) <= 2)
