"""Figures of many scenarios by how many lie below."""

import numpy as np

from ...constraints.model.lots import Floats

QUANTILES = (0.0, 0.05, 0.5, 0.95, 1.0)
"""Shares of the scenarios that lie below what is told [1]."""


def quantiles_of(values: Floats) -> tuple[float, ...]:
    """``QUANTILES`` of those that are numbers; none where none is."""
    known = values[~np.isnan(values)]
    return tuple(map(float, np.quantile(known, QUANTILES))) if len(known) else ()
