"""A composition tried on lots by which nothing was tuned."""

from dataclasses import replace

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.uncertainty import Uncertainty
from .draws import DRAWS, FRESH_SEED, Spread
from .tried import Tried, tried
from .tuning import both_ends


def on_fresh_lots(
    bench: Bench,
    composition: Composition,
    known: Uncertainty,
    *,
    draws: int = DRAWS,
    seed: int = FRESH_SEED,
) -> Tried:
    """What independent lots do to a composition, by a brief as it stands.

    Args:
        bench: what was read.
        composition: what is made.
        known: the set, of which all counts, and what is added at the bench.
        draws: lots.
        seed: of the draws.
    """
    lots = both_ends(
        bench,
        composition,
        replace(known, scale=1.0),
        draws=draws,
        seed=seed,
        spread=Spread.INDEPENDENT,
    )
    return tried(bench.brief.rules, lots[0], lots[1] if known.correction else None)
