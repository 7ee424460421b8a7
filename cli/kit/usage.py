"""A command line that cannot be understood, as problems like any other."""

import re
from typing import Any, TypeAlias

from ...constraints.values.names import nearest_names
from ...constraints.values.problem import Problem, Problems, Where

Parsed: TypeAlias = Any
"""What the parser of the command line hands over: its kinds differ in what they carry."""

HERE = "the command line"

_POINTED = re.compile(r"(-?\d+),(\d{1,2})")
"""A decimal comma; a comma before three digits may part thousands."""

_NUMBERS = {"int": "a whole number", "float": "a number"}


def usage_problems(error: Parsed) -> Problems:
    """What the parser of the command line says, as a problem with the near names.

    Args:
        error: a usage error of the parser, whose kinds differ in what they carry.
    """
    command = _command_of(error)
    asked = getattr(error, "option_name", None)
    param = getattr(error, "param", None)
    if asked is not None and hasattr(error, "possibilities"):
        return _problems(asked, "no such option", *_an_option(error, command, asked))
    if asked is not None:
        return _problems(asked, "nothing after it", f"a value; {command} --help has an example")
    if param is not None:
        return _of_parameter(error, param, command)
    if error.message.startswith("No such command"):
        return _no_command(error)
    if "extra argument" in error.message:
        more = error.message.partition("(s) (")[2].removesuffix(")")
        return _problems(HERE, more, f"no more than {command} --help names")
    return _problems(HERE, _plain(error.message), f"what {command} --help says")


def _of_parameter(error: Parsed, param: Parsed, command: str) -> Problems:
    name = max(param.opts, key=len) if param.param_type_name == "option" else param.metavar
    if type(error).__name__ == "MissingParameter":
        said = (param.help or f"What {command} --help says").rstrip(".")
        return _problems(name, "nothing", said[0].lower() + said[1:])
    found, _, rest = error.message.partition(" is not ")
    found = found.strip("'")
    choices = tuple(str(getattr(one, "value", one)) for one in getattr(param.type, "choices", ()))
    if choices:
        return _problems(name, found, f"one of {', '.join(choices)}", nearest_names(found, choices))
    wanted = _number(param.type)
    nearest = (_POINTED.sub(r"\1.\2", found),) if wanted and _POINTED.fullmatch(found) else ()
    return _problems(name, found, wanted or _plain(rest), nearest)


def _number(kind: Parsed) -> str:
    """What a number has to be, in words; empty for what is none."""
    what = next((said for name, said in _NUMBERS.items() if kind.name.startswith(name)), "")
    ends = (
        ("of at least", getattr(kind, "min", None)),
        ("and at most", getattr(kind, "max", None)),
    )
    said = " ".join(f"{word} {end:g}" for word, end in ends if end is not None)
    return f"{what} {said}".strip() if what else ""


def _an_option(error: Parsed, command: str, asked: str) -> tuple[str, tuple[str, ...]]:
    params = () if error.ctx is None else error.ctx.command.params
    known = [opt for param in params for opt in param.opts if opt.startswith("--")]
    return f"an option of {command}; --help lists them", nearest_names(asked, [*known, "--help"])


def _no_command(error: Parsed) -> Problems:
    from .app import COMMANDS

    asked = error.message.partition("'")[2].rpartition("'")[0].partition("'")[0]
    expected = "a command; barwright --help lists them"
    return _problems(HERE, asked, expected, nearest_names(asked, COMMANDS))


def _command_of(error: Parsed) -> str:
    return "barwright" if error.ctx is None else str(error.ctx.command_path)


def _plain(message: str) -> str:
    return message.rstrip(".")


def _problems(place: str, found: str, expected: str, nearest: tuple[str, ...] = ()) -> Problems:
    return Problems((Problem(Where(place), found, expected, nearest),))
