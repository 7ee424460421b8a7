"""How much a count of draws says: exact confidence bounds on a share.

C. J. Clopper and E. S. Pearson, "The use of confidence or fiducial limits illustrated in the case
of the binomial", Biometrika 26 (1934) 404-413: the largest share under which so few would still be
seen with the probability left open.
"""

from functools import lru_cache
from math import log, log1p

import numpy as np

from ...constraints.model.lots import Floats

SURE = 0.95
"""How sure a bound is unless another is asked for: 19 times in 20."""

_STEPS = 60
_STANDS = 1e-14


@lru_cache(maxsize=1024)  # of many rules most are never broken, or as often
def at_most(seen: int, of: int, sure: float = SURE) -> float:
    """One-sided upper confidence bound on a share of which ``seen`` of ``of`` draws were.

    By Newton's steps on the logarithm of the probability of so few: it is concave in the share,
    so that they come to the bound from above.

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
    ways, left = _ways(seen, of), log(1.0 - sure)
    share = (seen + 1) / (of + 1)
    for _ in range(_STEPS):
        chance, last = _chances(ways, of, share)
        step = (log(chance) - left) * chance * (1.0 - share) / ((of - seen) * last)
        share = min(share + step, (1.0 + share) / 2.0)
        if abs(step) <= _STANDS * share:
            break
    return share


def at_least(seen: int, of: int, sure: float = SURE) -> float:
    """One-sided lower confidence bound on a share of which ``seen`` of ``of`` draws were."""
    return 1.0 - at_most(of - seen, of, sure)


def _chances(ways: Floats, of: int, share: float) -> tuple[float, float]:
    """The probabilities of at most so many, and of just so many, where each has that share."""
    taken = np.arange(len(ways))
    each = np.exp(ways + taken * log(share) + (of - taken) * log1p(-share))
    return float(each.sum()), float(each[-1])


def _ways(seen: int, of: int) -> Floats:
    """Logarithms of the numbers of ways to take 0, 1, … so many."""
    steps = np.arange(1, seen + 1)
    return np.concatenate(([0.0], np.cumsum(np.log((of - steps + 1) / steps))))
