"""The one way out: whatever ends a command early is told here, as table or JSON, with its code."""

import os
from collections.abc import Callable, Sequence
from itertools import pairwise

import typer

from ...constraints.values.problem import CheckFailedError, InputError, refuse
from .exit import Exit
from .problems import failed_sentence, tell
from .screen import complain
from .time_limit import StoppedError, stopped_sentence

ENDS_OPTIONS = "--"


def ended(words: Sequence[str], act: Callable[[], object]) -> int:
    """Do what a command line asks; gives the code to leave with.

    Args:
        words: the command line, which says how problems are to be shown.
        act: does it; gives an exit code, or nothing where all went well.
    """
    try:
        _refuse_unwritable(words)
        code = act()
    except InputError as error:
        tell(error.problems, as_json=wants_json(words))
        return Exit.BAD_INPUT
    except CheckFailedError as error:
        complain([failed_sentence(str(error))])
        return Exit.OUR_FAILURE
    except _usage_error() as error:
        from .usage import usage_problems

        tell(usage_problems(error), as_json=wants_json(words))
        return Exit.BAD_INPUT
    except StoppedError as stopped:
        complain([stopped_sentence(stopped.seconds)])
        return Exit.STOPPED
    except typer.Abort:
        complain([stopped_sentence(None)])
        return Exit.STOPPED
    return code if isinstance(code, int) else Exit.DONE


def _refuse_unwritable(words: Sequence[str]) -> None:
    """Turn down signs that no file name and no screen can hold: half of a pair alone."""
    for word in words:
        try:
            os.fsencode(word)
        except UnicodeEncodeError:
            refuse("the command line", ascii(word), "a text of whole signs")


def wants_json(words: Sequence[str]) -> bool:
    """Whether a command line asks for JSON, even one that cannot be understood.

    >>> wants_json(["cheapest", "--format", "json"]), wants_json(["cheapest", "--format=table"])
    (True, False)
    """
    options = list(words[: words.index(ENDS_OPTIONS)] if ENDS_OPTIONS in words else words)
    asked = [
        after if word == "--format" else word.removeprefix("--format=")
        for word, after in pairwise([*options, ""])
        if word == "--format" or word.startswith("--format=")
    ]
    return asked[-1:] == ["json"]


def _usage_error() -> type[Exception]:
    """What the command line's own parser raises for one that it cannot understand."""
    return typer.BadParameter.__mro__[1]
