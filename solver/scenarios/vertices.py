"""For which prices a point that was found stays the cheapest, told without asking again.

A basis that was the best at some prices names a point, and at any other prices the reduced costs
of what is not in it. Where none of these is of the wrong sign the point is the cheapest there too:
prices move no row, so that it is still allowed. Where some are, the same multipliers of rows say
below what no point costs, which is how another way to make the choices is passed over.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ...constraints.model.lots import Flags, Floats
from ..program.outcome import Program

Places = NDArray[np.intp]

RIGHT = 1e-9
"""A reduced cost of the wrong sign by no more is none [money/kg]."""

THERE = 1e-12
"""A share that is no greater is none [kg/kg]."""

NEAR = 1e-8
"""So near to a side or a bound a point stands at it."""


@dataclass(frozen=True, slots=True)
class Laid:
    """A program without choices, laid out for many prices at once.

    Args:
        matrix: [m, width] of its rows.
        low, high: [m] their sides.
        lower, upper: [width] bounds of its columns.
        most: [width] no point has more of a column; open where that is not known.
        shares: how many columns have a price; the others cost nothing.
    """

    matrix: Floats
    low: Floats
    high: Floats
    lower: Floats
    upper: Floats
    most: Floats
    shares: int

    @classmethod
    def of(cls, program: Program, shares: int, most: Sequence[float]) -> "Laid":
        """Lay a program out whose first columns are shares, of which no point has more."""
        matrix = np.zeros((len(program.rows), len(program.costs)))
        for place, row in enumerate(program.rows):
            matrix[place, list(row.columns)] = row.values
        upper = np.array(program.upper)
        return cls(
            matrix=matrix,
            low=np.array([row.low for row in program.rows]),
            high=np.array([row.high for row in program.rows]),
            lower=np.array(program.lower),
            upper=upper,
            most=np.array([*most, *upper[len(most) :]]),
            shares=shares,
        )


@dataclass(frozen=True, slots=True)
class Vertex:
    """A point that was the cheapest at some prices, and the basis that showed it.

    Args:
        laid: the program.
        x: [width] the point.
        tight: [q] rows that are not in the basis.
        multipliers: [shares, q] prices -> what a unit of each of these rows is worth.
        tests: [shares, t] prices -> figures of which none is below nothing where the point is the
            cheapest: reduced costs of what is not in the basis, then those multipliers that have
            a sign to keep.
        columns: [t] the column of each reduced cost, then none (-1).
    """

    laid: Laid
    x: Floats
    tight: Places
    multipliers: Floats
    tests: Floats
    columns: Places

    @classmethod
    def of(cls, laid: Laid, x: Floats, basis: Places) -> "Vertex | None":
        """A vertex from the solver's basis; ``None`` where that does not determine the point.

        Args:
            laid: the program.
            x: [width] the point.
            basis: [m] columns in the basis, and its rows as -1 - row.
        """
        rows, columns = np.ones(len(laid.low), np.bool_), np.ones(len(x), np.bool_)
        basic = basis[basis >= 0]
        rows[-1 - basis[basis < 0]] = False
        columns[basic] = False
        tight = np.flatnonzero(rows)
        below = laid.matrix[tight]
        inverse = _inverse(below[:, basic]) if len(basic) == len(tight) else None
        sides = _sides(below @ x, laid.low[tight], laid.high[tight])
        if inverse is None or sides is None:
            return None
        multipliers = np.zeros((laid.shares, len(tight)))
        priced = basic < laid.shares
        multipliers[basic[priced]] = inverse[priced]
        reduced = -(multipliers @ below)
        reduced[np.arange(laid.shares), np.arange(laid.shares)] += 1.0
        columns &= laid.lower < laid.upper
        rises = np.flatnonzero(columns & (x < laid.upper - NEAR))
        falls = np.flatnonzero(columns & (x > laid.lower + NEAR))
        one_sided = np.flatnonzero(sides)
        tests = (reduced[:, rises], -reduced[:, falls], (multipliers * sides)[:, one_sided])
        none = np.full(len(one_sided), -1)
        return cls(
            laid=laid,
            x=x,
            tight=tight,
            multipliers=multipliers,
            tests=np.concatenate(tests, axis=1),
            columns=np.concatenate((rises, falls, none)),
        )

    def cheapest_at(self, prices: Floats, out: Flags) -> Flags:
        """[N] at which prices it is the cheapest point.

        Args:
            prices: [N, shares] [money/kg].
            out: [N, shares] what cannot be had, of which the point has nothing.
        """
        wrong = prices @ self.tests < -RIGHT
        if out.any():
            shares = np.flatnonzero((self.columns >= 0) & (self.columns < self.laid.shares))
            wrong[:, shares] &= ~out[:, self.columns[shares]]
        return np.asarray(~wrong.any(axis=1))

    def least_at(self, prices: Floats) -> Floats:
        """[N] what no point of the program costs less than at these prices [money/kg].

        By weak duality, whatever the multipliers: those of the wrong sign are left out, and each
        column adds what the most of it would save.
        """
        laid = self.laid
        low, high = laid.low[self.tight], laid.high[self.tight]
        worth = prices @ self.multipliers
        worth = np.clip(worth, np.where(np.isinf(high), 0.0, -np.inf), _none_or_open(low))
        reduced = -(worth @ laid.matrix[self.tight])
        reduced[:, : laid.shares] += prices
        return np.asarray(
            np.maximum(worth, 0.0) @ _closed(low)
            + np.minimum(worth, 0.0) @ _closed(high)
            + np.maximum(reduced, 0.0) @ laid.lower
            + np.minimum(reduced, 0.0) @ laid.most
        )


def _none_or_open(low: Floats) -> Floats:
    """As far up as a multiplier of rows with these lower sides may go."""
    return np.where(np.isinf(low), 0.0, np.inf)


def _closed(ends: Floats) -> Floats:
    """Sides, with nothing in place of those that are open and never asked for."""
    return np.where(np.isinf(ends), 0.0, ends)


def _inverse(square: Floats) -> Floats | None:
    """The inverse of a basis; ``None`` where it is none, or not sure enough."""
    try:
        found = np.linalg.inv(square)
    except np.linalg.LinAlgError:
        return None
    off = np.abs(square @ found - np.eye(len(square))).max(initial=0.0)
    return np.asarray(found, dtype=np.float64) if off <= RIGHT else None


def _sides(stands: Floats, low: Floats, high: Floats) -> Floats | None:
    """[q] the sign that the multiplier of each row must keep, 0 for an equality.

    ``None`` where a row stands at neither of its sides.
    """
    at_low, at_high = np.abs(stands - low) <= NEAR, np.abs(stands - high) <= NEAR
    if not (at_low | at_high).all():
        return None
    return at_low.astype(np.float64) - at_high
