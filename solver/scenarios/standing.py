"""How a formula that is held stands in many scenarios: what it costs, and which rules it breaks."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ...constraints.acidity.unknown import alkalinity_of
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.lots import Flags, Floats, Lots
from ...constraints.model.material import Material
from ...constraints.model.rule import Limited, Rule
from ...constraints.rules.holding import verdict_of
from ...constraints.rules.judging import mix_of
from .question import Question

if TYPE_CHECKING:
    from .moved_limit import MovedLimit


@dataclass(frozen=True, slots=True)
class Market:
    """Some scenarios side by side, as far as a formula that is held is touched by them.

    Args:
        prices: [N, n] of every material, in shelf order [money/kg].
        missing: [N] what cannot be had.
        limits: [N, L] where limits that are moved stand.
        lots: material -> [N, figures] of the lots that came.
    """

    prices: Floats
    missing: Sequence[frozenset[str]]
    limits: Floats
    lots: Mapping[str, Floats]

    @classmethod
    def of(cls, bench: Bench, question: Question, numbers: range) -> "Market":
        """The scenarios of some numbers.

        Raises:
            IndexError: when there is none of one of them.
        """
        prices, missing = question.laid_out(bench, numbers)
        limits, lots = question.limits_laid(numbers), question.lots_laid(bench, numbers)
        return cls(prices, missing, limits, lots)


def unmade(formula: Composition, market: Market) -> Flags:
    """[N] where a material of a formula cannot be had."""
    used = {name for name, share in formula.parts.items() if share > 0.0}
    return np.array([bool(used & one) for one in market.missing], dtype=np.bool_)


def broken(bench: Bench, formula: Composition, question: Question, market: Market) -> Flags:
    """[N, rules of the brief] which rules a formula breaks, whether it can be made or not."""
    held = _Held(bench, formula, question, market)
    flags = [~held.kept(rule) for rule in bench.brief.rules]
    return np.array(flags, dtype=np.bool_).reshape(len(flags), len(market.prices)).T


class _Held:
    """A formula made in each scenario from the lots that came there."""

    def __init__(
        self, bench: Bench, formula: Composition, question: Question, market: Market
    ) -> None:
        self._mix = mix_of(bench, formula)
        self._market, self._count = market, len(market.prices)
        self._moved: dict[str, list[tuple[int, MovedLimit]]] = {}
        for column, limit in enumerate(question.limits):
            self._moved.setdefault(limit.rule, []).append((column, limit))
        self._lots = self._made(bench)

    def _made(self, bench: Bench) -> Lots:
        columns = [bench.material_names.index(one.name) for one, _, _ in self._mix.parts]
        figures = [self._figures(one) for one, _, _ in self._mix.parts]
        return Lots(
            mix=self._mix,
            contents=tuple(one[:, :-1] for one in figures),
            alkalinity=np.array([one[:, -1] for one in figures]).reshape(len(figures), -1).T,
            prices=self._market.prices[:, columns],
        )

    def _figures(self, material: Material) -> Floats:
        came = self._market.lots.get(material.name)
        if came is not None:
            return came
        typical = [share for _, share in material.typical_contents()]
        return np.tile([*typical, alkalinity_of(material).typical], (self._count, 1))

    def kept(self, rule: Rule) -> Flags:
        """[N] whether it keeps a rule, wherever its limits stand.

        What must hold for every lot is judged at the worst that may come, whichever came.
        """
        if rule.id in self._moved:
            return self._one_by_one(rule)
        if not rule.priced and (rule.within is not None or not self._market.lots):
            return np.full(self._count, verdict_of(rule, self._mix).kept)
        if rule.within is None:
            return rule.kept_in(self._lots)
        return self._one_by_one(rule)

    def _one_by_one(self, rule: Rule) -> Flags:
        kept = [self._one(rule, row) for row in range(self._count)]
        return np.array(kept, dtype=np.bool_)

    def _one(self, rule: Rule, row: int) -> bool:
        for column, limit in self._moved.get(rule.id, ()):
            assert isinstance(rule, Limited)  # noqa: S101  (whoever asked saw to that)
            rule = rule.moved(limit.side, float(self._market.limits[row, column]))
        return verdict_of(rule, self._lots.one(row)).kept
