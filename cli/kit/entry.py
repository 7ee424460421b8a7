"""Where a command line begins: the way in that costs least.

Help and version are answered without loading anything; every other line loads the one command it
names. Start-up is most of what a maker waits for.
"""

import gc
import io
import os
import sys

_UNICODE = {"utf-8", "utf8"}

_OVERVIEW = {(), ("--help",), ("-h",)}


def main() -> None:
    """Run one command line and leave with its exit code."""
    gc.disable()  # a short life: nothing is worth collecting
    # No matrix here is large enough for threads, and starting them costs more than all the rest.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _write_anything()
    words = sys.argv[1:]
    if tuple(words) in _OVERVIEW and "_BARWRIGHT_COMPLETE" not in os.environ:
        sys.stdout.write(overview())
        sys.exit(0)
    from .app import run

    run(words)


def overview() -> str:
    """The help page as the commands last rendered it; a test holds it to what they say."""
    from pathlib import Path

    return (Path(__file__).parent / "overview.txt").read_text(encoding="utf-8")


def _write_anything() -> None:
    """See to it that no stream stumbles over a ≥ or an umlaut: a sign lost beats an answer lost."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and stream.encoding.lower() not in _UNICODE:
            if os.name == "nt":  # files and pipes there would take an old code page
                stream.reconfigure(encoding="utf-8")
            else:
                stream.reconfigure(errors="replace")
