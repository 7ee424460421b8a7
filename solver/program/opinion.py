"""A second opinion: the same program put to CBC, another solver, by PuLP.

Two habits of PuLP are kept out of everything above: it rewrites names, so columns and rows are
mapped by index; and its prices change sign under maximisation, so programs are always minimised.
"""

import warnings
from math import inf, isfinite
from operator import mul

from ...constraints.model.row import Row
from .deadline import NEVER, Deadline
from .loading import Untyped
from .outcome import Infeasible, Optimal, Outcome, Program, Stopped, Unbounded


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
        cost=sum(map(mul, program.costs, x), 0.0),
        x=x,
        row_prices=() if whole else prices,
        column_prices=() if whole else tuple(float(column.dj or 0.0) for column in columns),
        basis=None,
    )


_CBC_STATUS: dict[str, Outcome] = {"Infeasible": Infeasible(), "Unbounded": Unbounded()}


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


def _written(program: Program) -> tuple[Untyped, list[Untyped], list[list[Untyped]]]:
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
