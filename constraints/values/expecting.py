"""Calls that say at once what they expected, instead of failing deep inside on something else."""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")


def expects(*kinds: type, hint: str = "") -> Callable[[Callable[P, T]], Callable[P, T]]:
    """Make a call refuse first arguments that are of another kind.

    Args:
        kinds: of the first positional arguments, in order.
        hint: how the first of them is had, as "read_bench gives one".

    Returns:
        A decorator; the call then raises a TypeError that names what was expected and what came.
    """

    def decorated(call: Callable[P, T]) -> Callable[P, T]:
        @wraps(call)
        def checked(*args: P.args, **kwargs: P.kwargs) -> T:
            for number, (given, kind) in enumerate(zip(args, kinds, strict=False)):
                if not isinstance(given, kind):
                    said = f"; {hint}" if hint and number == 0 else ""
                    message = (
                        f"{call.__name__} expected a {kind.__name__} as argument {number + 1}, "
                        f"not a {type(given).__name__}{said}"
                    )
                    raise TypeError(message)
            return call(*args, **kwargs)

        return checked

    return decorated


BENCH = "read_bench gives one"
"""How a bench is had."""
