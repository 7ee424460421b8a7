"""One state of the market, the shelf and the brief."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from ...constraints.model.brief import Bench
from ...constraints.model.shelf import Item
from ...constraints.model.uncertainty import Figures, lot_of
from .moved_limit import MovedLimit, moved


@dataclass(frozen=True, slots=True)
class Scenario:
    """What is so in one scenario.

    Args:
        number: from 0.
        prices: [n] of every material, in shelf order [money/kg].
        missing: materials that cannot be had.
        lots: material -> the lot of it that came; typical ones of the others did.
        limits: where limits of rules stand that are moved, in the canonical unit of each rule.
    """

    number: int
    prices: tuple[float, ...]
    missing: frozenset[str] = frozenset()
    lots: Mapping[str, Figures] = field(default_factory=dict)
    limits: tuple[tuple[MovedLimit, float], ...] = ()

    def over(self, bench: Bench) -> Bench:
        """The bench as it is then; what cannot be had still stands on its shelf.

        Raises:
            KeyError: when it has no such rule, or the rule no such limit.
        """
        pairs = zip(bench.shelf, self.prices, strict=True)
        shelf = tuple(self._item(item, price) for item, price in pairs)
        return moved(replace(bench, shelf=shelf), self.limits)

    def _item(self, item: Item, price: float) -> Item:
        lot = self.lots.get(item.material.name)
        if lot is None:
            return replace(item, price=price)
        return replace(item, price=price, material=lot_of(item.material, lot[:-1], lot[-1]))
