"""A file written beside an answer: an option that commands get without knowing of it."""

import inspect
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from functools import wraps
from pathlib import Path
from typing import Annotated

import typer

from ...constraints.values.problem import refuse

_OVERWRITE = Annotated[
    bool, typer.Option("--overwrite", help="Let files that are there be replaced.")
]


@dataclass(frozen=True, slots=True)
class Target:
    """Where a file goes, and whether it may replace what is there."""

    path: Path
    overwrite: bool


@dataclass(frozen=True, slots=True)
class Beside:
    """An option for a file beside the answer.

    Args:
        name: of the option, without its dashes.
        annotation: what it takes and what its help says.
        check: turns down a file that cannot be written, before anything is worked out.
        asked: what the command line in hand asks for; the answer is given far below where it was
            read.
    """

    name: str
    annotation: object
    check: Callable[[Target], None]
    asked: ContextVar[Target | None]

    def added_to(self, command: Callable[..., object]) -> Callable[..., object]:
        """A command that takes the option too, and ``--overwrite`` where it did not yet."""
        signature = inspect.signature(command, eval_str=True)
        own = dict(signature.parameters)
        overwrite = own.pop("overwrite", None)

        @wraps(command)
        def run(**given: object) -> object:
            path, may_replace = given.pop(self.name), bool(given["overwrite"])
            if overwrite is None:
                del given["overwrite"]
            if not isinstance(path, Path):
                return command(**given)
            asked = Target(path, may_replace)
            self.check(asked)
            token = self.asked.set(asked)
            try:
                return command(**given)
            finally:
                self.asked.reset(token)

        more = (
            _option(self.name, self.annotation, None),
            _option("overwrite", _OVERWRITE, False),
        )
        made = signature.replace(parameters=[*own.values(), *more])
        run.__dict__["__signature__"] = made
        return run


def _option(name: str, annotation: object, default: object) -> inspect.Parameter:
    kind = inspect.Parameter.KEYWORD_ONLY
    return inspect.Parameter(name, kind, default=default, annotation=annotation)


def refuse_what_is_there(asked: Target, others: tuple[Path, ...] = ()) -> None:
    """Turn down a name that is taken, unless that may be replaced.

    Raises:
        InputError: when it is.
    """
    there = next((one for one in (asked.path, *others) if one.exists()), None)
    if there is not None and not asked.overwrite:
        refuse(str(there), "a file that is there already", "another name, or --overwrite")
