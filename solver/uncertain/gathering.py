"""The worst lots of a composition, once readings of bars tie their figures.

No material has a worst lot of its own any more: a row must hold at every lot that may come together
with the others. Of these only vertices of the set count, and of them the few that a composition
comes to lean against. They are gathered: for a composition that keeps its rows at those known so
far, a linear program tells the lots that leave a row the least room, and they are put beside the
others, until no row is broken by any. The rows are then some of those that must hold, so that
what costs least under them costs least, and none of the others is broken.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ...constraints.model.brief import Bench
from ...constraints.model.frame import Frame, frame_of
from ...constraints.model.row import Row
from ...constraints.model.rule import Limited
from ...constraints.model.uncertainty import Together, Uncertainty
from ...constraints.rules.holding import rows_held
from ...constraints.rules.worst import weights_of

BROKEN = 1e-9
"""A row missed by more is broken."""


def worse_lots(
    bench: Bench, x: Sequence[float], ionic_strength: float
) -> dict[str, tuple[Together, ...]]:
    """Lots that may come together and break a rule, by rule; empty where none do.

    Args:
        bench: with rules that hold for lots that readings tie.
        x: shares, then choices.
        ionic_strength: at which the rows stand [mol/kg water].
    """
    frame = frame_of(bench)
    found: dict[str, tuple[Together, ...]] = {}
    for rule in bench.brief.rules:
        within = rule.within
        if not isinstance(rule, Limited) or rule.whole or within is None or not within.cuts:
            continue
        breaking = tuple(_breaking(rule, within, frame, x, ionic_strength))
        if breaking:
            found[rule.id] = breaking
    return found


def _breaking(
    rule: Limited, within: Uncertainty, frame: Frame, x: Sequence[float], ionic_strength: float
) -> Iterator[Together]:
    if not rule.varies or within.furthest is None:
        return
    strength = ionic_strength if rule.dispersed else 0.0
    known = list(within.worst.get(rule.id, ()))
    for side in rule.limits():
        for weights in weights_of(rule, side, within, frame, strength, x):
            lots = within.furthest(within, weights)
            if lots in known:
                continue
            trial = replace(rule, within=replace(within, worst={rule.id: (lots,)}))
            if any(_missed(row, x) > BROKEN for row in rows_held(trial, frame, ionic_strength)):
                known.append(lots)
                yield lots


def _missed(row: Row, x: Sequence[float]) -> float:
    value = sum(value * x[column] for column, value in zip(row.columns, row.values, strict=True))
    return max(row.low - value, value - row.high)
