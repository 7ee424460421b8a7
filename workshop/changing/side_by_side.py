"""Bars side by side: by material, substance, rule, pH, cost and label, each in its own bench."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ...constraints.acidity.prediction import Prediction, predict
from ...constraints.market.labelling import markets_with_labelling
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.contents import contents_of
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge
from ...constraints.values.problem import Problems
from ...constraints.values.told import Told
from ..label.label import label

SAME = 1e-6
"""Shares that differ by no more are the same [kg/kg]."""


@dataclass(frozen=True, slots=True, repr=False)
class Compared(Told):
    """One of several bars.

    Args:
        bench: its own.
        composition: what is in it.
        cost: of its mix [money/kg]; ``None`` where the price of a material in it is not known.
        unpriced: those materials.
        contents: share of each substance [kg/kg].
        verdicts: every rule of its brief.
        ph: predicted, with its range; ``None`` where it is read on no water.
        ingredients: market -> the list on the box.
    """

    bench: Bench
    composition: Composition
    cost: float | None
    unpriced: tuple[str, ...]
    contents: Mapping[str, float]
    verdicts: tuple[Verdict, ...]
    ph: Prediction | None
    ingredients: Mapping[str, str]

    def verdict(self, rule: str) -> Verdict | None:
        """What a rule of its brief says, or ``None`` where it has no such rule."""
        return next((one for one in self.verdicts if one.rule.id == rule), None)


@dataclass(frozen=True, slots=True)
class Across:
    """One thing in each of several bars [kg/kg]; 0 where it is not in one.

    Args:
        name: of a material or a substance.
        shares: [bars].
    """

    name: str
    shares: tuple[float, ...]

    @property
    def alike(self) -> bool:
        """Whether all bars have as much of it."""
        return max(self.shares) - min(self.shares) <= SAME


@dataclass(frozen=True, slots=True, repr=False)
class SideBySide(Told):
    """Several bars.

    Args:
        bars: in the order asked.
        materials: largest first.
        substances: largest first.
        rules: every rule of any of them, by id, in the order of the first that has it.
    """

    bars: tuple[Compared, ...]
    materials: tuple[Across, ...]
    substances: tuple[Across, ...]
    rules: tuple[str, ...]


def side_by_side(
    bars: Sequence[tuple[Bench, Composition]], unpriced: Iterable[str] = ()
) -> SideBySide:
    """Compare compositions, each judged by its own bench.

    Args:
        bars: every one with its bench, at least one.
        unpriced: materials whose price is not known.

    Raises:
        ValueError: without a bar.
        KeyError: when a material of a composition does not stand on the shelf of its bench.
    """
    if not bars:
        message = "at least one bar is compared"
        raise ValueError(message)
    unknown = frozenset(unpriced)
    made = tuple(_compared(bench, composition, unknown) for bench, composition in bars)
    return SideBySide(
        bars=made,
        materials=_rows(made, lambda one: one.composition.parts),
        substances=_rows(made, lambda one: one.contents),
        rules=tuple(dict.fromkeys(v.rule.id for one in made for v in one.verdicts)),
    )


def _compared(bench: Bench, composition: Composition, unknown: frozenset[str]) -> Compared:
    unpriced = tuple(name for name in composition.parts if name in unknown)
    dilution, parts = bench.brief.dilution, bench.parts_of(composition)
    return Compared(
        bench=bench,
        composition=composition,
        cost=None if unpriced else bench.cost_of(composition),
        unpriced=unpriced,
        contents=contents_of(bench, composition),
        verdicts=judge(bench, composition),
        ph=predict(parts, bench.substances, dilution) if dilution < 1.0 else None,
        ingredients=_ingredients(bench, composition),
    )


def _ingredients(bench: Bench, composition: Composition) -> Mapping[str, str]:
    known = (one for one in bench.brief.markets if one in markets_with_labelling())
    made = {market: label(bench, composition, market) for market in known}
    return {market: one.text for market, one in made.items() if not isinstance(one, Problems)}


def _rows(
    bars: Sequence[Compared], of: Callable[[Compared], Mapping[str, float]]
) -> tuple[Across, ...]:
    held = [of(one) for one in bars]
    names = dict.fromkeys(name for each in held for name in each)
    rows = [Across(name, tuple(each.get(name, 0.0) for each in held)) for name in names]
    return tuple(sorted(rows, key=lambda row: (-max(row.shares), row.name)))
