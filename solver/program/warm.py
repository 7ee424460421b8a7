"""A program asked again and again at other costs, from its last basis."""

from collections.abc import Sequence

from .loading import Untyped, least_cost, loaded, point_of
from .outcome import Program


class Warm:
    """A program held in the solver and asked again at other costs, from its last basis.

    It says only what the least cost is and where; ``Session`` says more, and asks for more time.
    """

    def __init__(self, program: Program) -> None:
        import numpy as np

        self._model = loaded(program)
        # Other costs leave the last point within all rows, where a primal step goes straight on.
        self._model.setOptionValue("simplex_strategy", 4)
        self._model.setOptionValue("presolve", "off")
        self._width = len(program.costs)
        self._upper = program.upper
        self._every = np.arange(self._width, dtype=np.int32)
        self._costs = np.zeros(self._width)
        self._out: frozenset[int] = frozenset()

    def solve(
        self, prices: Sequence[float], out: Sequence[int] = ()
    ) -> tuple[float, Untyped] | None:
        """The least cost and its point [n]; ``None`` where there is none.

        Args:
            prices: of the first columns; the others cost nothing.
            out: columns held at nothing.

        Raises:
            RuntimeError: when the solver gave up.
        """
        least = self.least(prices, out)
        return None if least is None else (least, self.point())

    def least(self, prices: Sequence[float], out: Sequence[int] = ()) -> float | None:
        """The least cost alone; until it is asked again, `point` says where.

        Args:
            prices: of the first columns; the others cost nothing.
            out: columns held at nothing.

        Raises:
            RuntimeError: when the solver gave up.
        """
        self._costs[: len(prices)] = prices
        self._model.changeColsCost(self._width, self._every, self._costs)
        if out or self._out:
            self._shut(frozenset(out))
        self._model.run()
        return least_cost(self._model)

    def point(self) -> Untyped:
        """[n] where the least cost that was found last is."""
        return point_of(self._model)

    def basis(self) -> Untyped:
        """[m] columns in the basis of the point found last, and its rows as -1 - row."""
        return self._model.getBasicVariables()[1]

    def cool(self) -> None:
        """Forget the last basis: what comes next comes as it would from a fresh start."""
        self._model.clearSolver()

    def _shut(self, out: frozenset[int]) -> None:
        for column in out - self._out:
            self._model.changeColBounds(column, 0.0, 0.0)
        for column in self._out - out:
            self._model.changeColBounds(column, 0.0, self._upper[column])
        self._out = out
