"""Programs to the embedded solver and back, once or again and again from the last basis."""

from collections.abc import Sequence
from dataclasses import replace
from math import isfinite
from operator import mul

from ...constraints.model.row import Row
from .deadline import NEVER, TIME_RAN_OUT, Deadline
from .loading import Untyped, begin_at, listening, loaded, moved_terms, without_guesses
from .outcome import Basis, Infeasible, Optimal, Outcome, Program, Stopped, Unbounded, Within

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
    listening(model, program, deadline)
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


def stuck_at(program: Program, deadline: Deadline = NEVER) -> Basis | None:
    """The basis on which the solver finds that no point keeps the rows, choices half made.

    A proof that begins there has little left to do. ``None`` where the solver says otherwise.
    """
    if deadline.passed():
        return None
    model = loaded(program.half_made)
    model.setOptionValue("presolve", "off")  # it refuses without a basis to show for it
    if isfinite(deadline.left):
        model.setOptionValue("time_limit", deadline.left)
    model.run()
    refused = model.getModelStatus().name == "kInfeasible"
    return _basis(model.getBasis()) if refused else None


_UNTOLD = {"kUnknown", "kNotset"}


class Session:
    """A program held in the solver, so that asking again after a small change is cheap."""

    def __init__(
        self,
        program: Program,
        deadline: Deadline = NEVER,
        *,
        bases: bool = True,
        guessing: bool = True,
    ) -> None:
        """Hold a program.

        Args:
            program: what to minimise, and over what.
            deadline: when to give up.
            bases: whether an answer carries its basis; reading it takes time.
            guessing: whether a search over choices looks for good points by searches of its own,
                which take half its time where a good one is known.
        """
        self._program, self._bases, self._is_warm = program, bases, False
        self._deadline = deadline
        self._near: Sequence[float] | None = None
        self._model = loaded(program)
        if not guessing:
            without_guesses(self._model)
        _, self._presolve = self._model.getOptionValue("presolve")
        listening(self._model, program, deadline)

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
        if self._near is not None:
            begin_at(self._model, self._near)
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

    def solve_for(
        self,
        costs: Sequence[float],
        changed: Sequence[tuple[int, Row]] = (),
        near: Sequence[float] | None = None,
    ) -> Outcome:
        """Solve for other costs, with some rows changed, and put both back.

        Args:
            costs: [n] one for each column.
            changed: as in ``solve_with``.
            near: [n] a point to begin a search over choices from; only its choices are taken up
                where it does not keep every row.
        """
        kept = self._program.costs
        try:
            self._cost(costs)
            self._near = near
            return self.solve_with(changed)
        finally:
            self._near = None
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
        for column, value in moved_terms(old, new):
            self._model.changeCoeff(index, column, value)


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
