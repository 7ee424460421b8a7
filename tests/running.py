"""A command line run in this process, as its way in does it: exit code, what it said, its crash."""

import io
import traceback
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout
from typing import NamedTuple


class Ran(NamedTuple):
    """How a command line ended.

    Attributes:
        code: as it left; ``None`` where it did not leave in words.
        out: what it wrote to stdout.
        err: what it wrote to stderr.
        crash: the traceback of what should have been caught; empty where nothing was missed.
    """

    code: object
    out: str
    err: str
    crash: str


def ran(words: Sequence[str]) -> Ran:
    """Run a command line on streams of its own."""
    from barwright.cli.kit.entry import answer
    from barwright.cli.kit.streams import Stream

    out, err = io.StringIO(), io.StringIO()
    code: object = None
    crash = ""
    with (
        redirect_stdout(Stream(out)),  # type: ignore[type-var]
        redirect_stderr(Stream(err)),  # type: ignore[type-var]
    ):
        try:
            answer(list(words))
        except SystemExit as left:
            code = left.code
        except BaseException:
            crash = traceback.format_exc()
    return Ran(code, out.getvalue(), err.getvalue(), crash)
