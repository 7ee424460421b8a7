"""Programs to solvers and back: the only place that knows PuLP and HiGHS.

PuLP writes the program down and HiGHS, embedded, solves it; CBC can be asked for a second opinion.
Three habits of PuLP are kept out of everything above: it rewrites names, so columns and rows are
mapped by index; its prices change sign under maximisation, so programs are always minimised; and it
knows no two-sided rows, so rows are put on the embedded solver itself, one solver row for each,
which is what lets a basis be read back.
"""

import warnings
from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate
from math import inf, isfinite
from operator import mul
from typing import Any, TypeAlias

from ...constraints.model.row import Row
from .deadline import NEVER, TIME_RAN_OUT, Deadline
from .outcome import Basis, Infeasible, Optimal, Outcome, Program, Stopped, Unbounded, Within

Untyped: TypeAlias = Any
"""What the modelling library and its solver hand over, which carry no types."""

WHOLE_TO = 1e-9
"""How near a whole number a whole-number column must come."""

KEPT_TO = 1e-9
"""How nearly a point must keep a row or a bound: a judge who allows a miss of 1e-7 finds none."""

_BASIS_WORDS = {"kBasic": "basic", "kLower": "lower", "kUpper": "upper", "kZero": "free"}


def solve(program: Program, deadline: Deadline = NEVER) -> Outcome:
    """The cheapest point of a program, by HiGHS.

    Args:
        program: what to minimise, and over what.
        deadline: when to give up; the outcome is then ``Stopped``.
    """
    return Session(program, deadline).solve()


def solve_within(
    program: Program, gap: float, deadline: Deadline = NEVER
) -> Within | Infeasible | Unbounded | Stopped:
    """A point whose cost is within a share of the least, and the bound that says so.

    Args:
        program: what to minimise, and over what.
        gap: stop as soon as no point can cost less by more than this share [-].
        deadline: when to stop, with the best point found so far if there is one.
    """
    if deadline.passed():
        return Stopped(TIME_RAN_OUT)
    model = loaded(program)
    _listening(model, program, deadline)
    if isfinite(deadline.left):
        model.setOptionValue("time_limit", deadline.left)
    model.setOptionValue("mip_rel_gap", gap)
    model.run()
    outcome = _outcome(program, model)
    if isinstance(outcome, Optimal):
        bound = model.getInfo().mip_dual_bound if any(program.whole) else outcome.cost
        return Within(outcome.cost, min(bound, outcome.cost), outcome.x)
    if isinstance(outcome, Stopped) and any(program.whole):
        info = model.getInfo()
        if info.primal_solution_status == _FEASIBLE:
            x = tuple(map(float, model.getSolution().col_value))
            return Within(_cost(program, x), info.mip_dual_bound, x)
    return outcome


_FEASIBLE = 2  # what the embedded solver calls a point that keeps every row


def second_opinion(program: Program, deadline: Deadline = NEVER) -> Outcome:
    """The same question put to CBC; its outcome carries no basis."""
    import pulp

    model, columns, rows = _written(program)
    with warnings.catch_warnings():
        # PuLP 3 brings CBC along and warns that PuLP 4 will not; the dependency stays below 4.
        warnings.simplefilter("ignore", DeprecationWarning)
        limit = deadline.left if isfinite(deadline.left) else None
        solver = pulp.PULP_CBC_CMD(msg=False, threads=1, timeLimit=limit, gapRel=0.0)
    model.solve(solver)
    failure = _CBC_STATUS.get(pulp.LpStatus[model.status])
    if failure is not None:
        return failure
    if model.sol_status != pulp.LpSolutionOptimal:
        return Stopped(str(pulp.LpSolution[model.sol_status]))
    x = tuple(float(column.varValue or 0.0) for column in columns)
    prices = tuple(sum(float(part.pi or 0.0) for part in parts) for parts in rows)
    whole = any(program.whole)
    return Optimal(
        cost=_cost(program, x),
        x=x,
        row_prices=() if whole else prices,
        column_prices=() if whole else tuple(float(column.dj or 0.0) for column in columns),
        basis=None,
    )


_CBC_STATUS: dict[str, Outcome] = {"Infeasible": Infeasible(), "Unbounded": Unbounded()}


_UNTOLD = {"kUnknown", "kNotset"}


class Session:
    """A program held in the solver, so that asking again after a small change is cheap."""

    def __init__(self, program: Program, deadline: Deadline = NEVER, *, bases: bool = True) -> None:
        """Hold a program; without ``bases`` no answer carries one, which saves reading it."""
        self._program, self._bases, self._is_warm = program, bases, False
        self._deadline = deadline
        self._model = loaded(program)
        _, self._presolve = self._model.getOptionValue("presolve")
        _listening(self._model, program, deadline)

    def warm(self) -> "Session":
        """The same, solved once and from now on always from the last basis.

        What presolve finds empty leaves no basis behind, and the next would begin from nothing.
        """
        self.solve()
        self._is_warm = True
        self._presolve_less()
        return self

    def solve(self) -> Outcome:
        """Solve, from the last basis where there is one; ``Stopped`` where no time is left."""
        left = self._deadline.left
        if left <= 0.0:
            return Stopped(TIME_RAN_OUT)
        if isfinite(left):
            self._model.setOptionValue("time_limit", left)
        self._model.run()
        if self._model.getModelStatus().name in _UNTOLD:
            # The basis left by the question before can stand in the way of this one.
            self._model.clearSolver()
            self._model.setOptionValue("presolve", self._presolve)
            self._model.run()
            self._presolve_less()
        return _outcome(self._program, self._model, bases=self._bases)

    def _presolve_less(self) -> None:
        if self._is_warm:
            self._model.setOptionValue("presolve", "off")

    def solve_with(
        self,
        changed: Sequence[tuple[int, Row]] = (),
        bounds: Sequence[tuple[int, float, float]] = (),
    ) -> Outcome:
        """Solve with some rows and column bounds changed, and put them back.

        Args:
            changed: index of a row and the row to put in its place.
            bounds: a column and its lower and upper bound.
        """
        kept = [(index, self._program.rows[index]) for index, _ in changed]
        lower, upper = self._program.lower, self._program.upper
        try:
            self._put(changed)
            for column, low, high in bounds:
                self._model.changeColBounds(column, low, high)
            return self.solve()
        finally:
            for column, _, _ in bounds:
                self._model.changeColBounds(column, lower[column], upper[column])
            self._put(kept)

    def solve_for(self, costs: Sequence[float], changed: Sequence[tuple[int, Row]] = ()) -> Outcome:
        """Solve for other costs, with some rows changed, and put both back.

        Args:
            costs: [n] one for each column.
            changed: as in ``solve_with``.
        """
        kept = self._program.costs
        try:
            self._cost(costs)
            return self.solve_with(changed)
        finally:
            self._cost(kept)

    def _cost(self, costs: Sequence[float]) -> None:
        for column, (old, new) in enumerate(zip(self._program.costs, costs, strict=True)):
            if old != new:
                self._model.changeColCost(column, new)
        self._program = replace(self._program, costs=tuple(costs))

    def _put(self, changed: Sequence[tuple[int, Row]]) -> None:
        if not changed:
            return
        rows = list(self._program.rows)
        for index, row in changed:
            self._change(index, rows[index], row)
            rows[index] = row
        self._program = replace(self._program, rows=tuple(rows))

    def _change(self, index: int, old: Row, new: Row) -> None:
        self._model.changeRowBounds(index, new.low, new.high)
        if (old.columns, old.values) == (new.columns, new.values):
            return
        before = dict(zip(old.columns, old.values, strict=True))
        after = dict(zip(new.columns, new.values, strict=True))
        for column in before.keys() | after.keys():
            if before.get(column, 0.0) != after.get(column, 0.0):
                self._model.changeCoeff(index, column, after.get(column, 0.0))


def _model(pulp: Untyped, program: Program) -> tuple[Untyped, list[Untyped]]:
    """The program's columns and costs in PuLP's words."""
    model = pulp.LpProblem("composition", pulp.LpMinimize)
    columns = [
        model.add_variable(
            f"x{index:06d}",
            lower,
            None if upper == inf else upper,
            pulp.LpInteger if whole else pulp.LpContinuous,
        )
        for index, (lower, upper, whole) in enumerate(
            zip(program.lower, program.upper, program.whole, strict=True)
        )
    ]
    # Every column stands in the objective, at no cost if need be: one that stood nowhere would be
    # dropped without a word.
    model.setObjective(pulp.LpAffineExpression(dict(zip(columns, program.costs, strict=True))))
    return model, columns


def _written(program: Program) -> tuple[Any, list[Any], list[list[Any]]]:
    """The program in PuLP's words: model, its columns, and the inequalities of each row."""
    import pulp

    model, columns = _model(pulp, program)
    rows = [_inequalities(pulp, columns, row) for row in program.rows]
    for index, parts in enumerate(rows):
        for side, part in enumerate(parts):
            model.addConstraint(part, f"r{index:06d}{side}")
    return model, columns, rows


def _inequalities(pulp: Untyped, columns: list[Untyped], row: Row) -> list[Untyped]:
    def part(sense: int, side: float) -> Untyped:
        terms = ((columns[j], value) for j, value in zip(row.columns, row.values, strict=True))
        return pulp.LpConstraint(pulp.LpAffineExpression(terms), sense, None, side)

    if row.low == row.high:
        return [part(pulp.LpConstraintEQ, row.low)]
    sides = ((pulp.LpConstraintGE, row.low), (pulp.LpConstraintLE, row.high))
    return [part(sense, side) for sense, side in sides if isfinite(side)]


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


def _listening(model: Untyped, program: Program, deadline: Deadline) -> None:
    """Let a search over choices look up now and then: a deadline may come before its time.

    Only so is Ctrl-C heard while the solver is at work, for it holds the interpreter.
    """
    if deadline.is_never or not any(program.whole):
        return

    def look(event: Untyped) -> None:
        if deadline.passed():
            event.interrupt()

    model.cbMipInterrupt.subscribe(look)


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


def _outcome(program: Program, model: Untyped, *, bases: bool = True) -> Outcome:
    status = model.getModelStatus().name
    if status == "kOptimal":
        return _optimal(program, model, bases=bases)
    if status == "kInfeasible":
        return Infeasible()
    if status == "kUnbounded":
        return Unbounded()
    if status == "kUnboundedOrInfeasible":
        return _either(program, model)
    if status in {"kTimeLimit", "kInterrupt"}:
        return Stopped(TIME_RAN_OUT)
    return Stopped(model.modelStatusToString(model.getModelStatus()))


def _either(program: Program, model: Untyped) -> Outcome:
    """Presolve could not tell unbounded from infeasible: without it the solver must."""
    _, presolve = model.getOptionValue("presolve")
    if presolve == "off":
        return Stopped("neither a point nor a proof that there is none")
    model.setOptionValue("presolve", "off")
    model.run()
    outcome = _outcome(program, model)
    model.setOptionValue("presolve", presolve)
    return outcome


def _optimal(program: Program, model: Untyped, *, bases: bool) -> Optimal:
    solution = model.getSolution()
    x = tuple(solution.col_value)
    if any(program.whole):
        return Optimal(_cost(program, x), x, (), (), None)
    return Optimal(
        cost=_cost(program, x),
        x=x,
        row_prices=tuple(solution.row_dual),
        column_prices=tuple(solution.col_dual),
        basis=_basis(model.getBasis()) if bases else None,
    )


def _basis(basis: Untyped) -> Basis | None:
    if not basis.valid:
        return None
    return Basis(columns=_words(basis.col_status), rows=_words(basis.row_status))


def _words(statuses: Sequence[Untyped]) -> tuple[str, ...]:
    """The solver's words in ours; to ask each one for its name takes longer than to solve."""
    known = {status.value: status for status in statuses}
    words = {value: _BASIS_WORDS.get(one.name, "lower") for value, one in known.items()}
    return tuple([words[status.value] for status in statuses])


def _cost(program: Program, x: tuple[float, ...]) -> float:
    return sum(map(mul, program.costs, x), 0.0)
