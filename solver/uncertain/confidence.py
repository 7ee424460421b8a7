"""How much a count of draws says: exact confidence bounds on a share.

C. J. Clopper and E. S. Pearson, "The use of confidence or fiducial limits illustrated in the case
of the binomial", Biometrika 26 (1934) 404-413: the largest share under which so few would still be
seen with the probability left open.
"""

import numpy as np

from ...constraints.model.lots import Floats

SURE = 0.95
"""How sure a bound is unless another is asked for: 19 times in 20."""

_HALVINGS = 60


def at_most(seen: int, of: int, sure: float = SURE) -> float:
    """One-sided upper confidence bound on a share of which ``seen`` of ``of`` draws were.

    Raises:
        ValueError: when the counts are no counts, or ``sure`` is not between 0 and 1.

    >>> round(at_most(0, 100), 5)  # 1 - 0.05 ** (1 / 100)
    0.02951
    """
    if not 0 <= seen <= of or not of:
        raise ValueError(f"{seen} of {of}")
    if not 0.0 < sure < 1.0:
        raise ValueError(f"sure to {sure}")
    if seen == of:
        return 1.0
    ways = _ways(seen, of)
    low, high = seen / of, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if _chance(ways, of, middle) > 1.0 - sure else (low, middle)
    return high


def at_least(seen: int, of: int, sure: float = SURE) -> float:
    """One-sided lower confidence bound on a share of which ``seen`` of ``of`` draws were."""
    return 1.0 - at_most(of - seen, of, sure)


def _chance(ways: Floats, of: int, share: float) -> float:
    """The probability of at most so many, where each comes with that share."""
    if share <= 0.0 or share >= 1.0:
        return float(share <= 0.0)
    taken = np.arange(len(ways))
    return float(np.exp(ways + taken * np.log(share) + (of - taken) * np.log1p(-share)).sum())


def _ways(seen: int, of: int) -> Floats:
    """Logarithms of the numbers of ways to take 0, 1, … so many."""
    steps = np.arange(1, seen + 1)
    return np.concatenate(([0.0], np.cumsum(np.log((of - steps + 1) / steps))))
