"""What a proof came to: proved, proved to a gap, proved empty, or unproved and why."""

from dataclasses import dataclass
from fractions import Fraction

from ..program.outcome import Basis
from .duality import (
    Tree,
)


@dataclass(frozen=True, slots=True)
class ProvedOptimal:
    """No composition that keeps the rows costs less.

    Args:
        cost: the exact least cost.
        x: [n] the exact point.
        tree: the proof; a single leaf for a program without whole-number columns.
        basis: the basis of ``x``, its whole-number columns held fixed.
        apart: largest difference between ``x`` and the point shown.
        excess: exact cost of the point shown, less ``cost``.
    """

    cost: Fraction
    x: tuple[Fraction, ...]
    tree: Tree
    basis: Basis
    apart: float
    excess: float

    def is_shown(self, within: float = 1e-6) -> bool:
        """Whether the point shown is this one, rounded."""
        return self.apart <= within


@dataclass(frozen=True, slots=True)
class ProvedGap:
    """The least cost lies between ``bound`` and ``cost``; the rest as in ``ProvedOptimal``."""

    cost: Fraction
    bound: Fraction
    x: tuple[Fraction, ...]
    tree: Tree
    basis: Basis
    apart: float
    excess: float


@dataclass(frozen=True, slots=True)
class ProvedInfeasible:
    """No point keeps the rows.

    Args:
        tree: the proof.
        breach: every point misses some row or bound by at least this much, or a choice; a value
            near the rounding of doubles means that only rounding keeps an answer away.
    """

    tree: Tree
    breach: Fraction


@dataclass(frozen=True, slots=True)
class Unproved:
    """Nothing is proved, and why."""

    reason: str


Proof = ProvedOptimal | ProvedGap | ProvedInfeasible | Unproved


Refusal = ProvedInfeasible | Unproved


@dataclass(frozen=True, slots=True)
class Vertex:
    """An exact optimum of a program without its whole-number demands.

    Args:
        cost: exact.
        x: [n] exact.
        y: [m] one optimal set of row prices; where the optimum is degenerate there are others.
        basis: to start again from.
    """

    cost: Fraction
    x: tuple[Fraction, ...]
    y: tuple[Fraction, ...]
    basis: Basis
