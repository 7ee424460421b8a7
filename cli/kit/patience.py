"""A sign of life when something takes longer than half a second, and only on a terminal."""

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

AFTER_S = 0.5


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
