"""One change of base for several bars.

The first bar becomes z; any other takes the same change, s_b times as much of it as the first:
``x_b = s_b·z + own_b`` with ``own_b = x_b − s_b·x_1`` of today. Every rule of every bar is then
linear in z, so that one program holds them all, and distances and costs are means over the bars.
Where a material has to go, s_b is how much of it a bar has beside the first; elsewhere 1.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.rules.rows import rows_of
from ...constraints.values.told import Told
from ..cheapest.cheapest import Refusal, program_of
from ..program.deadline import NEVER, Deadline
from ..program.fixed_point import MOST_ROUNDS, at_rest, ionic_strength
from ..program.outcome import Infeasible, Optimal, Outcome, Stopped
from .distance import Stage
from .forcing import Forced
from .manner import manner_of
from .nearest import CLOSE, FEW, Near, brings, kept_out, near_of
from .shared_base import Bar, Shared

LIKE = 1e-6
"""Proportions that differ by no more than this are alike."""


@dataclass(frozen=True, slots=True, repr=False)
class Base(Told):
    """One change of base and the bars that take it.

    Args:
        places: which of the formulas they are.
        scales: how much of the change each takes, the first of them all of it.
        bars: what becomes of each.
        forced: which rules force more changes than few; ``None`` where few were not asked for, are
            enough, or that was not found out.
    """

    places: tuple[int, ...]
    scales: tuple[float, ...]
    bars: tuple[Near, ...]
    forced: Forced | None = None


def one_change(
    bench: Bench,
    formulas: Sequence[Composition],
    fixed: frozenset[str],
    order: Sequence[Stage] = CLOSE,
    wanted: Iterable[str] = (),
    *,
    nearly: float = 0.0,
    deadline: Deadline = NEVER,
) -> Base | Refusal:
    """One change for all of these bars, nearest on the mean of them.

    Args:
        bench: its shelf holds every material of every formula.
        formulas: as they are made today.
        fixed: materials whose shares stay as they are.
        order: what to keep small first.
        wanted: materials that are asked to come in: others come in last where changes are few.
        nearly: how much of a bar may differ more so that fewer materials are touched [kg/kg].
        deadline: when to give up.
    """
    scales = scales_of(bench, formulas)
    if scales is None:
        rows = rows_of(bench)
        return Refusal(Infeasible(), program_of(rows, bench.prices), rows)
    bars = bars_of(bench, formulas, scales)
    if nearly > 0 and order[0] is not Stage.COST:
        manner = manner_of(bench, formulas[0], wanted)
        for shut in (manner.strangers, frozenset[str]()) if manner.strangers else (frozenset(),):
            few = Shared(bench, bars, fixed | shut, nearly=nearly, manner=manner)
            found = _settled(bench, few, bars, FEW, deadline)
            if isinstance(found, Base) and (not shut or _does(found, wanted, manner.few)):
                return found
        if isinstance(found, Base) or not isinstance(found.outcome, Infeasible):
            return found
        found = _settled(bench, Shared(bench, bars, fixed, nearly=nearly), bars, FEW, deadline)
        return found if isinstance(found, Refusal) else _not_sensible(found)
    return _settled(bench, Shared(bench, bars, fixed, nearly=nearly), bars, order, deadline)


def bars_of(
    bench: Bench, formulas: Sequence[Composition], scales: Sequence[float]
) -> tuple[Bar, ...]:
    """Bars as multiples of what the first becomes."""
    return tuple(
        Bar.of(bench, formula, formulas[0], scale)
        for formula, scale in zip(formulas, scales, strict=True)
    )


def _does(base: Base, wanted: Iterable[str], few: int) -> bool:
    """Whether something that was asked to come in does in every bar, with few changes."""
    return all(brings(bar, wanted, few) for bar in base.bars)


def _not_sensible(base: Base) -> Base:
    """The rules leave nothing that a formulator would call sensible: that is said, not hidden."""
    return replace(base, bars=tuple(replace(bar, sensible=False) for bar in base.bars))


def _settled(
    bench: Bench,
    layout: "Shared",
    bars: Sequence["Bar"],
    order: Sequence[Stage],
    deadline: Deadline,
) -> Base | Refusal:
    """Ask until the ionic strength of every bar is the one assumed of it."""
    strengths = [ionic_strength(bench, bar.formula) for bar in bars]
    last: Optimal | None = None
    for _ in range(MOST_ROUNDS):
        rows = [rows_of(bench, strength) for strength in strengths]
        program = layout.laid(rows)
        # another round moves the rows by a hair: the materials touched stand while they can
        again = layout.again(program, last, order) if last and order is FEW else None
        outcome = again or layout.staged(program, order, deadline)
        if not isinstance(outcome, Optimal):
            return Refusal(_ended(outcome), layout.rules_alone(rows[0]), rows[0])
        last = outcome
        made = layout.made(layout.settle(program, outcome, order))
        found = [ionic_strength(bench, one) for one in made]
        if all(at_rest(a, b) for a, b in zip(found, strengths, strict=True)):
            near = [near_of(bench, bar.formula, one) for bar, one in zip(bars, made, strict=True)]
            return Base((), tuple(bar.scale for bar in bars), tuple(near))
        strengths = found
    unsettled = Stopped("the ionic strengths did not come to rest")
    return Refusal(unsettled, layout.rules_alone(rows[0]), rows[0])


def _ended(outcome: Outcome) -> Infeasible | Stopped:
    return outcome if isinstance(outcome, Infeasible | Stopped) else Stopped("it falls without end")


def scales_of(bench: Bench, formulas: Sequence[Composition]) -> tuple[float, ...] | None:
    """How much of the change each bar takes; ``None`` where no one change can serve them all.

    What has to go goes from all bars with one change only where they hold it in like proportion.
    """
    outs = sorted(kept_out(bench))
    going = [name for name in outs if any(formula.parts.get(name) for formula in formulas)]
    scales = []
    for formula in formulas:
        ratios = [_ratio(formulas[0], formula, name) for name in going] or [1.0]
        if max(ratios) - min(ratios) > LIKE or not 0 < min(ratios) < inf:
            return None
        scales.append(ratios[0])
    return tuple(scales)


def _ratio(first: Composition, other: Composition, name: str) -> float:
    share = first.parts.get(name, 0.0)
    return other.parts.get(name, 0.0) / share if share else inf
