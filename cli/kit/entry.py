"""Where a command line begins: the way in that costs least.

Help and version are answered without loading anything; every other line loads the one command it
names. Start-up is most of what a maker waits for.
"""

import gc
import os
import sys

from .streams import prepare

_OVERVIEW = {(), ("--help",), ("-h",)}


def main() -> None:
    """Run one command line and leave with its exit code."""
    gc.disable()  # a short life: nothing is worth collecting
    # No matrix here is large enough for threads, and starting them costs more than all the rest.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    prepare()
    words = sys.argv[1:]
    try:
        answer(words)
    finally:
        sys.stdout.flush()  # here, where it can still be told that it fails
        sys.stderr.flush()


def answer(words: list[str]) -> None:
    """Answer a command line on the streams as they stand."""
    if tuple(words) in _OVERVIEW and "_BARWRIGHT_COMPLETE" not in os.environ:
        sys.stdout.write(overview())
        sys.exit(0)
    from .app import run

    run(words)


def overview() -> str:
    """The help page as the commands last rendered it; a test holds it to what they say."""
    from pathlib import Path

    return (Path(__file__).parent / "overview.txt").read_text(encoding="utf-8")
