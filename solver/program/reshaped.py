"""Programs alike but for their bounds, asked again and again with other rows."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ...constraints.model.row import Row
from .loading import Untyped, loaded
from .outcome import Program

Coefficient = tuple[int, int, float]
"""A row, a column, and what stands there."""


class Reshaped:
    """Programs held in the solver whose rows and costs change at every question.

    Which of points that cost the same is found may depend on what was asked before: whoever wants
    the same answers asks in the same order.
    """

    def __init__(self, program: Program, ways: Sequence[Program]) -> None:
        """Hold programs.

        Args:
            program: the rows to begin with.
            ways: the same with other bounds.
        """
        self._rows = program.rows
        self._uppers = [one.upper for one in ways]
        self._models = [loaded(replace(one, rows=program.rows)) for one in ways]
        for model in self._models:
            model.setOptionValue("presolve", "off")

    def least(
        self, rows: Sequence[Row], costs: Sequence[float], out: Sequence[int] = ()
    ) -> tuple[float, Untyped] | None:
        """The least cost of any of them over other rows, and its point [n].

        Args:
            rows: as many as before, in the same order.
            costs: of the first columns; the others cost nothing.
            out: columns held at nothing.

        Returns:
            Cost and point, or ``None`` where no point keeps the rows.

        Raises:
            RuntimeError: when the solver gave up.
        """
        import numpy as np

        self._put(rows)
        first, prices = np.arange(len(costs), dtype=np.int32), np.array(costs, dtype=np.float64)
        best: tuple[float, Untyped] | None = None
        for model, upper in zip(self._models, self._uppers, strict=True):
            model.changeColsCost(len(costs), first, prices)
            found = _least(model, upper, out)
            if found is not None and (best is None or found[0] < best[0]):
                best = found
        return best

    def _put(self, rows: Sequence[Row]) -> None:
        changed = list(_changed(self._rows, rows))
        moved = [
            (index, new.low, new.high)
            for index, (old, new) in enumerate(zip(self._rows, rows, strict=True))
            if (old.low, old.high) != (new.low, new.high)
        ]
        for model in self._models:
            for row, column, value in changed:
                model.changeCoeff(row, column, value)
            for row, low, high in moved:
                model.changeRowBounds(row, low, high)
        self._rows = tuple(rows)


def _least(
    model: Untyped, upper: Sequence[float], out: Sequence[int]
) -> tuple[float, Untyped] | None:
    """What one of them says, read before its bounds are put back, which makes it forget."""
    for column in out:
        model.changeColBounds(column, 0.0, 0.0)
    try:
        model.run()
        return _said(model)
    finally:
        for column in out:
            model.changeColBounds(column, 0.0, upper[column])


def _said(model: Untyped) -> tuple[float, Untyped] | None:
    import numpy as np

    status = model.getModelStatus().name
    if status in {"kInfeasible", "kUnboundedOrInfeasible"}:
        return None
    if status != "kOptimal":
        raise RuntimeError(f"the solver stopped: {status}")
    return float(model.getInfo().objective_function_value), np.array(model.getSolution().col_value)


def _changed(before: Sequence[Row], after: Sequence[Row]) -> Iterator[Coefficient]:
    for index, (old, new) in enumerate(zip(before, after, strict=True)):
        if (old.columns, old.values) == (new.columns, new.values):
            continue
        was = dict(zip(old.columns, old.values, strict=True))
        is_now = dict(zip(new.columns, new.values, strict=True))
        for column in sorted(was.keys() | is_now.keys()):
            if was.get(column) != is_now.get(column):
                yield index, column, is_now.get(column, 0.0)
