"""One scenario by itself, from cold: at whatever ionic strength its cheapest composition has."""

from collections.abc import Callable, Collection
from dataclasses import replace

from ...constraints.model.brief import Bench, Composition
from ..cheapest.cheapest import least
from ..program.outcome import Infeasible, Optimal, Program, Stopped, Unbounded
from ..strength.composing import checked, composed


def solved_anew(
    bench: Bench, missing: Collection[str] = (), start: float = 0.0
) -> tuple[float, Composition] | Stopped | None:
    """The cheapest composition of a bench as it is in a scenario.

    Args:
        bench: with its prices, lots and limits.
        missing: materials that stand on its shelf and cannot be had.
        start: an ionic strength to begin with [mol/kg water].

    Returns:
        Its cost [money/kg] and itself; ``None`` where no composition keeps the rules, ``Stopped``
        where that could not be told.

    Raises:
        CheckFailedError: when it breaks a rule by the independent check.
    """
    outcome, _, _ = least(bench, also=_without(bench, missing), start=start)
    if isinstance(outcome, Infeasible):
        return None
    if isinstance(outcome, Stopped | Unbounded):
        return outcome if isinstance(outcome, Stopped) else Stopped("its cost has no end")
    assert isinstance(outcome, Optimal)  # noqa: S101  (there is no other)
    composition = composed(bench, outcome)
    checked(bench, composition)
    return outcome.cost, composition


def _without(bench: Bench, missing: Collection[str]) -> Callable[[Program], Program]:
    """A program with what cannot be had held at nothing."""

    def held(program: Program) -> Program:
        upper = list(program.upper)
        for column, name in enumerate(bench.material_names):
            if name in missing:
                upper[column] = 0.0
        return replace(program, upper=tuple(upper))

    return held
