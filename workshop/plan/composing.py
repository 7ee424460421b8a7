"""Formulas as makings: as they are, or free to move within their brief and a likeness."""

from dataclasses import dataclass, replace
from math import inf

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.row import Row
from ...constraints.rules.rows import rows_of
from ...solver.cheapest.cheapest import program_of
from ...solver.nearest.distance import Stage, gap_row, gaps
from ...solver.program.outcome import Optimal, Program
from ...solver.program.session import Session
from .horizon import Making, fixed

TRACE = 1e-9
"""A share below this is none [kg/kg]."""

MARGIN = 1e-6
"""What a bound on a share leaves beyond what a solver found [kg/kg]."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A bar that is made in some weeks.

    Args:
        bench: the bench that it belongs to.
        formula: what it is made of today.
        masses: [weeks] mix made in each week [kg].
        strength: ionic strength that its pH rows assume, where it is free [mol/kg water].
        likeness: how much of it may be other substances than today [kg/kg]; ``None`` where it stays
            as it is.
    """

    bench: Bench
    formula: Composition
    masses: tuple[float, ...]
    strength: float
    likeness: float | None


def making_of(asked: Asked) -> Making:
    """A bar as columns and rows; the first columns are the shares of its materials."""
    if asked.likeness is None:
        return fixed(asked.formula.name, asked.formula.parts, asked.masses)
    from ...constraints.model.frame import frame_of

    rows = rows_of(asked.bench, asked.strength)
    program = program_of(rows, asked.bench.prices)
    apart = gaps(asked.bench, frame_of(asked.bench), asked.formula, (Stage.SUBSTANCE,))
    first, more = len(program.costs), 2 * len(apart)
    held = tuple(gap_row(gap, first + 2 * place) for place, gap in enumerate(apart))
    columns = tuple(range(first, first + more))
    changed = Row("", "likeness", columns, (0.5,) * more, -inf, asked.likeness)
    made = Making(
        name=asked.formula.name,
        materials=rows.materials,
        uses=asked.masses,
        rows=(*program.rows, *held, changed),
        costs=(0.0,) * (first + more),
        lower=(*program.lower, *(0.0,) * more),
        upper=(*map(_at_most_whole, program.upper), *(1.0,) * more),
        whole=(*program.whole, *(False,) * more),
    )
    return replace(made, upper=(*_reach(made), *made.upper[len(made.materials) :]))


def _reach(making: Making) -> tuple[float, ...]:
    """The most of each material that its rows allow [kg/kg], choices left half made.

    No composition is lost by it, and the fewer packs a bar could ever need, the sooner a plan is
    proved.
    """
    n = len(making.costs)
    program = Program(making.costs, making.lower, making.upper, (False,) * n, making.rows)
    session = Session(program)
    columns = range(len(making.materials))
    return tuple(_most(session, column, n, making.upper[column]) for column in columns)


def _most(session: Session, column: int, n: int, upper: float) -> float:
    outcome = session.solve_for([-float(place == column) for place in range(n)])
    return min(upper, MARGIN - outcome.cost) if isinstance(outcome, Optimal) else upper


def _at_most_whole(upper: float) -> float:
    return min(upper, 1.0)


def composition_of(asked: Asked, making: Making, columns: tuple[float, ...]) -> Composition:
    """The composition that an answer gives a bar."""
    if asked.likeness is None:
        return asked.formula
    shares = dict(zip(making.materials, columns, strict=False))
    kept = {name: share for name, share in shares.items() if share > TRACE}
    total = sum(kept.values())
    return replace(asked.formula, parts={name: share / total for name, share in kept.items()})
