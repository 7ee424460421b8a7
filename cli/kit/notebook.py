"""Any command line in a notebook: its page, with tables and pictures, within a frame of its own."""

import html
import io
import shlex
import tempfile
from contextlib import redirect_stdout
from dataclasses import dataclass, field
from pathlib import Path

_HEIGHT = 640  # of the frame [pixels]; longer pages scroll within it


@dataclass(frozen=True, slots=True)
class Look:
    """What a command line shows.

    Attributes:
        words: the command line.
        text: what a terminal shows.
        page: the page that ``--page`` writes, which asks nothing of the network.
    """

    words: tuple[str, ...]
    text: str = field(repr=False)
    page: str = field(repr=False)

    def __str__(self) -> str:
        return self.text

    def _repr_html_(self) -> str:
        """The page in a frame, so that neither its looks nor its names reach the notebook's."""
        inside = html.escape(self.page, quote=True)
        frame = f"width:100%;height:{_HEIGHT}px;border:0"
        return f'<iframe sandbox title="barwright" style="{frame}" srcdoc="{inside}"></iframe>'


def look(line: str) -> Look:
    """Answer a command line as in a terminal, with its page to look at.

    >>> print(look('materials "fatty alcohol"').text.splitlines()[0][:8])
    material

    Args:
        line: as it stands after ``barwright``, such as ``cheapest examples/oily-hair``.

    Raises:
        InputError: when something in it or in its files is wrong.
        ValueError: when it names no command that shows anything.
    """
    from .app import COMMANDS, application
    from .page_option import WITHOUT

    words = tuple(shlex.split(line))
    if not words or words[0] not in COMMANDS or words[0] in WITHOUT:
        message = f"expected a command that shows something, such as cheapest BENCH, not {line!r}"
        raise ValueError(message)
    out = io.StringIO()
    with tempfile.TemporaryDirectory() as folder, redirect_stdout(out):
        path = Path(folder) / "page.html"
        application(words[0])(
            args=[*words, "--page", str(path)], prog_name="barwright", standalone_mode=False
        )
        page = path.read_text(encoding="utf-8") if path.exists() else ""
    return Look(words, out.getvalue(), page)
