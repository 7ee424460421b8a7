"""Programs alike but for their bounds, asked again and again with other rows."""

from collections.abc import Sequence
from dataclasses import replace

from ...constraints.model.row import Row
from .loading import Untyped, least_cost, loaded, moved_terms, point_of
from .outcome import Program


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
        pairs = list(enumerate(zip(self._rows, rows, strict=True)))
        changed = [
            (index, column, value)
            for index, (old, new) in pairs
            for column, value in moved_terms(old, new)
        ]
        moved = [
            (index, new.low, new.high)
            for index, (old, new) in pairs
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
        cost = least_cost(model)
        return None if cost is None else (cost, point_of(model))
    finally:
        for column in out:
            model.changeColBounds(column, 0.0, upper[column])
