"""Programs put on the embedded solver, by index: the one that answers nearly every question.

PuLP makes the solver and sets it up; columns and rows go onto it in one call each, for written down
term by term they take longer than solving. A row is one solver row with both its sides, which is
what lets a basis be read back.
"""

from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import Any, TypeAlias

from ...constraints.model.row import Row
from .deadline import Deadline
from .outcome import Program

Untyped: TypeAlias = Any
"""What the modelling library and its solver hand over, which carry no types."""

WHOLE_TO = 1e-9
"""How near a whole number a whole-number column must come."""

KEPT_TO = 1e-9
"""How nearly a point must keep a row or a bound: a judge who allows a miss of 1e-7 finds none."""


def loaded(program: Program) -> Untyped:
    """The program on the embedded solver, with the tolerances that our answers need."""
    import pulp

    model = pulp.LpProblem("composition", pulp.LpMinimize)
    solver = pulp.HiGHS(msg=False, threads=1, gapRel=0.0, gapAbs=0.0)
    solver.createAndConfigureSolver(model)
    held = model.solverModel
    _add_columns(held, program)
    # A choice of 0.999999 would let a dose, and all that hangs on it, be a millionth too low.
    held.setOptionValue("mip_feasibility_tolerance", WHOLE_TO)
    held.setOptionValue("primal_feasibility_tolerance", KEPT_TO)
    if any(program.whole):
        # With whole-number columns the presolve of HiGHS up to 1.15 can write past its memory and
        # end the whole process; programs of this size gain nothing by it.
        held.setOptionValue("presolve", "off")
    _add_rows(held, program.rows)
    return held


def listening(model: Untyped, program: Program, deadline: Deadline) -> None:
    """Let a search over choices look up now and then: a deadline may come before its time.

    Only so is Ctrl-C heard while the solver is at work, for it holds the interpreter.
    """
    if deadline.is_never or not any(program.whole):
        return

    def look(event: Untyped) -> None:
        if deadline.passed():
            event.interrupt()

    model.cbMipInterrupt.subscribe(look)


def without_guesses(model: Untyped) -> None:
    """Let a search over choices look for good points by no small searches of its own."""
    for one in ("rins", "rens", "root_reduced_cost"):
        model.setOptionValue(f"mip_heuristic_run_{one}", "off")


def begin_at(model: Untyped, x: Sequence[float]) -> None:
    """Let a search over choices begin at a point; the next change of the model forgets it."""
    import highspy

    point = highspy.HighsSolution()
    point.col_value = list(x)
    model.setSolution(point)


def moved_terms(old: Row, new: Row) -> Iterator[tuple[int, float]]:
    """Each column whose coefficient differs from one row to another, with what it is in that."""
    if (old.columns, old.values) == (new.columns, new.values):
        return
    before = dict(zip(old.columns, old.values, strict=True))
    after = dict(zip(new.columns, new.values, strict=True))
    for column in sorted(before.keys() | after.keys()):
        if before.get(column, 0.0) != after.get(column, 0.0):
            yield column, after.get(column, 0.0)


def least_cost(model: Untyped) -> float | None:
    """What a program that was run costs at least; ``None`` where no point keeps its rows.

    Raises:
        RuntimeError: when the solver gave up.
    """
    status = model.getModelStatus().name
    if status in {"kInfeasible", "kUnboundedOrInfeasible"}:
        return None
    if status != "kOptimal":
        raise RuntimeError(f"the solver stopped: {status}")
    return float(model.getInfo().objective_function_value)


def point_of(model: Untyped) -> Untyped:
    """[n] the point at which a program that was run costs least."""
    import numpy as np

    return np.array(model.getSolution().col_value)


def _add_columns(loaded: Untyped, program: Program) -> None:
    """All columns in one call, for the same reason as all rows."""
    import highspy
    import numpy as np

    width = len(program.costs)
    ends = (
        np.array(one, dtype=np.float64) for one in (program.costs, program.lower, program.upper)
    )
    nothing = np.zeros(width, dtype=np.int32)
    loaded.addCols(width, *ends, 0, nothing, nothing[:0], np.zeros(0))
    for column, whole in enumerate(program.whole):
        if whole:
            loaded.changeColIntegrality(column, highspy.HighsVarType.kInteger)


def _add_rows(loaded: Untyped, rows: Sequence[Row]) -> None:
    """All rows in one call: term by term, writing them down takes longer than solving."""
    import numpy as np

    lengths = [len(row.columns) for row in rows]
    loaded.addRows(
        len(rows),
        np.array([row.low for row in rows], dtype=np.float64),
        np.array([row.high for row in rows], dtype=np.float64),
        sum(lengths),
        np.array([0, *accumulate(lengths)][:-1], dtype=np.int32),
        np.array([column for row in rows for column in row.columns], dtype=np.int32),
        np.array([value for row in rows for value in row.values], dtype=np.float64),
    )
