"""Where a command line begins: the way in that costs least.

Help and version are answered without loading anything; every other line loads the one command it
names. Start-up is most of what a maker waits for.
"""

import gc
import os
import sys

_PAGES = {("--help",): "barwright", ("-h",): "barwright", (): "barwright"}


def main() -> None:
    """Run one command line and leave with its exit code."""
    gc.disable()  # a short life: nothing is worth collecting
    # No matrix here is large enough for threads, and starting them costs more than all the rest.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    words = sys.argv[1:]
    page = None if "_BARWRIGHT_COMPLETE" in os.environ else _PAGES.get(tuple(words))
    if page is not None:
        sys.stdout.write(_page(page))
        sys.exit(0)
    from .app import run

    run(words)


def _page(name: str) -> str:
    """A help page as it was last rendered; a test holds it to what the commands themselves say."""
    from pathlib import Path

    return (Path(__file__).parent / "pages" / f"{name}.txt").read_text(encoding="utf-8")
