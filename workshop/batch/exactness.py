"""How far whole scale steps lead from the formula, and what the half step in doubt can do."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge
from ..weighing.weight import Weighed, Weight, decimal

_PH = "pH"  # the unit of a rule on acidity


@dataclass(frozen=True, slots=True)
class Slip:
    """What one material does that is half a scale step more or less than its balance shows.

    Args:
        material: its name.
        over: whether there is more of it than shown.
        by: half a step of its balance for each load [kg].
        broken: rules that it breaks and that are kept as shown.
        ph: what the pH then is, where one of them is on pH; else ``None``.
    """

    material: str
    over: bool
    by: float
    broken: tuple[str, ...]
    ph: float | None


def departures(weighed: Weighed) -> tuple[tuple[str, float], ...]:
    """Each material with what is weighed of it over what the formula says less one, greatest first.

    What is weighed as the formula says is left out.
    """
    found = ((one.material, one.mass / one.ideal - 1.0) for one in weighed.weights)
    told = (one for one in found if abs(one[1]) > _TOLD)
    return tuple(sorted(told, key=lambda one: -abs(one[1])))


_TOLD = 1e-9  # of a weight: less is the noise of a division


def slips(bench: Bench, weighed: Weighed) -> tuple[Slip, ...]:
    """Where half a scale step of one material breaks a rule, in the order weighed.

    A balance that shows a weight says that it lies within half a step of it, load by load; all
    other weights are taken as shown.
    """
    kept = {one.rule.id for one in _judged(bench, weighed, {}) if one.kept}
    return tuple(slip for one in weighed.weights for slip in _of_one(bench, weighed, one, kept))


def _of_one(bench: Bench, weighed: Weighed, one: Weight, kept: set[str]) -> Iterator[Slip]:
    half = decimal(one.step) / 2 * len(one.loads)
    for over in (False, True):
        moved = {one.material: one.exact + (half if over else -half)}
        broken = [
            verdict
            for verdict in _judged(bench, weighed, moved)
            if not verdict.kept and verdict.rule.id in kept
        ]
        if broken:
            ph = next((v.value for v in broken if v.rule.unit == _PH), None)
            ids = tuple(verdict.rule.id for verdict in broken)
            yield Slip(one.material, over, float(half), ids, ph)


def _judged(bench: Bench, weighed: Weighed, moved: dict[str, Fraction]) -> tuple[Verdict, ...]:
    masses = {one.material: moved.get(one.material, one.exact) for one in weighed.weights}
    total = sum(masses.values(), Fraction())
    return judge(bench, Composition("", {name: float(m / total) for name, m in masses.items()}))
