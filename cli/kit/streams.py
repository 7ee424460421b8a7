"""Stdout and stderr as every command finds them: nothing unseen gets out, and no ending is missed.

A control character from a file name or an option would reach the terminal; a closed pipe, a full
disk or a stream that was never opened would end in a traceback.
"""

import io
import os
import re
import sys
from typing import Any, NoReturn

from .exit import Exit

_UNICODE = {"utf-8", "utf8"}
_UNSEEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1a\x1c-\x1f\x7f-\x9f"
    "\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
    "|\x1b(?!\\[[0-4]m)"  # bold and its end are what our own headings are set in
)


class Stream:
    """A text stream that writes what can be seen and says in words why it cannot write."""

    def __init__(self, inner: Any) -> None:
        self._inner = inner

    def __getattr__(self, name: str) -> Any:
        return getattr(self._inner, name)

    def write(self, text: str) -> int:
        """Write a text with a mark in place of each character that cannot be seen."""
        try:
            written: int = self._inner.write(_UNSEEN.sub("\ufffd", text))
        except OSError as error:
            self._leave(error)
        return written

    def flush(self) -> None:
        """Hand on what was written."""
        try:
            self._inner.flush()
        except OSError as error:
            self._leave(error)

    def _leave(self, error: OSError) -> NoReturn:
        """Leave without a traceback: whoever read the answer is gone, or no room is left for it."""
        os.dup2(os.open(os.devnull, os.O_WRONLY), self._inner.fileno())
        if isinstance(error, BrokenPipeError):
            raise SystemExit(Exit.READER_GONE)
        if self._inner is not sys.__stderr__ and sys.stderr is not self:
            sys.stderr.write(f"The answer cannot be written: {error.strerror}.\n")
        raise SystemExit(Exit.BAD_INPUT)


def prepare() -> None:
    """Put such streams in place of stdout and stderr, in an encoding that loses no answer."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:  # closed by whoever started us: there is nobody to tell
            stream = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123
        _encode(stream)
        setattr(sys, name, Stream(stream))


def _encode(stream: Any) -> None:
    """See to it that no stream stumbles over a ≥ or an umlaut: a sign lost beats an answer lost."""
    if isinstance(stream, io.TextIOWrapper) and stream.encoding.lower() not in _UNICODE:
        if os.name == "nt":  # files and pipes there would take an old code page
            stream.reconfigure(encoding="utf-8")
        else:
            stream.reconfigure(errors="replace")
    elif isinstance(stream, io.TextIOWrapper):
        stream.reconfigure(errors="replace")  # names that are no Unicode come as lone surrogates
