"""One page of many: its command line is run as if it had been written, and its answer kept."""

import io
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.values.problem import CheckFailedError, InputError
from ...solver.program.deadline import TIME_RAN_OUT
from ..html.model import Link
from ..kit.app import application
from ..kit.exit import Exit
from ..kit.page_option import BEHIND, LAST, said_first
from ..kit.time_limit import NO_LIMIT, StoppedError, stopped_sentence

if TYPE_CHECKING:
    from ...solver.program.deadline import Deadline
    from .chapters import Chapter


@dataclass(frozen=True, slots=True)
class Made:
    """What became of a page.

    Args:
        chapter: which it is.
        links: the files that were written, the page first; none where it could not be.
        why: why not; empty where it was.
        answer: what the command gave as JSON.
        late: whether it was time that was wanting.
    """

    chapter: "Chapter"
    links: tuple[Link, ...]
    why: str
    answer: str
    late: bool = False


def made(chapter: "Chapter", folder: Path, index: Link, deadline: "Deadline") -> Made:
    """Make a page in a folder, with a way back to its index.

    Args:
        chapter: which.
        folder: where.
        index: the page that leads to it.
        deadline: when all of it has to be done.
    """
    command, path = chapter.words[0], folder / chapter.file
    words = [*chapter.words, "--format", "json", "--page", str(path), "--overwrite"]
    if chapter.sheet:
        words += ["--html", str(folder / chapter.sheet)]
    if deadline.left < inf and command not in NO_LIMIT:
        words += ["--time-limit", f"{max(deadline.left, 0.001):.3f}"]
    token = BEHIND.set(index)
    LAST.set(None)
    try:
        answer, why, late = _ran(command, words)
    finally:
        BEHIND.reset(token)
    page = LAST.get()
    if page is None:
        return Made(chapter, (), why or "it gave no page", answer, late)
    links = [Link(chapter.file, chapter.text, said_first(page))]
    if chapter.sheet and (folder / chapter.sheet).exists():
        links.append(Link(chapter.sheet, "its sheet to print"))
    return Made(chapter, tuple(links), why, answer)


def _ran(command: str, words: list[str]) -> tuple[str, str, bool]:
    """What a command line printed, why it failed, and whether for want of time.

    What stands out was told with its bench.
    """
    out = io.StringIO()
    with redirect_stdout(out), redirect_stderr(io.StringIO()):
        try:
            code = application(command)(args=words, prog_name="barwright", standalone_mode=False)
        except InputError as error:
            problems = (
                f"{one.where.place}: {one.found}; expected: {one.expected}"
                for one in error.problems.items
            )
            return out.getvalue(), "; ".join(problems), False
        except CheckFailedError as error:
            return out.getvalue(), str(error), False
        except StoppedError as stopped:
            return out.getvalue(), stopped_sentence(stopped.seconds), True
    stopped_short = code == Exit.STOPPED
    return out.getvalue(), TIME_RAN_OUT if stopped_short else "", stopped_short
