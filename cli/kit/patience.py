"""A sign of life when something takes longer than half a second, and only on a terminal."""

import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from math import inf
from time import monotonic
from types import FrameType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...solver.program.deadline import Deadline

AFTER_S = 0.5


def until(seconds: float) -> "Deadline":
    """When a command has to come to its end: after so long, or at once when Ctrl-C asks for it.

    The first Ctrl-C lets it say what it has; a second one ends it.
    """
    from ...solver.program.deadline import Deadline

    stopped = threading.Event()

    def stop(number: int, frame: FrameType | None) -> None:
        del number, frame
        stopped.set()
        signal.signal(signal.SIGINT, signal.default_int_handler)

    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, stop)
    return Deadline.after(seconds, lambda: inf if stopped.is_set() else monotonic())


@contextmanager
def patience(doing: str) -> Iterator[None]:
    """Say on stderr what is being done, if it takes long enough to wonder.

    Args:
        doing: what is under way, as "looking for the cheapest composition".
    """
    if not sys.stderr.isatty():
        yield
        return
    timer = threading.Timer(AFTER_S, _say, [doing])
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def _say(doing: str) -> None:
    sys.stderr.write(f"{doing} …\n")
    sys.stderr.flush()
