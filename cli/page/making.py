"""One page of many: its command line is run as if it had been written, and its answer kept."""

import io
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from math import inf
from pathlib import Path
from typing import TYPE_CHECKING

from ...constraints.values.problem import CheckFailedError, InputError, Problem
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
        ended: how the command ended where it gave no page: for want of something in a file, of
            time, or by our own failure.
    """

    chapter: "Chapter"
    links: tuple[Link, ...]
    why: str
    answer: str
    ended: Exit = Exit.DONE


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
        answer, why, ended = _ran(command, words)
    finally:
        BEHIND.reset(token)
    page = LAST.get()
    if page is None:
        return Made(chapter, (), why or "it gave no page", answer, ended)
    links = [Link(chapter.file, chapter.text, said_first(page))]
    if chapter.sheet and (folder / chapter.sheet).exists():
        links.append(Link(chapter.sheet, "its sheet to print"))
    return Made(chapter, tuple(links), why, answer)


def _ran(command: str, words: list[str]) -> tuple[str, str, Exit]:
    """What a command line printed, why there is no page, and how it ended where there is none.

    What stands out was told with its bench.
    """
    out = io.StringIO()
    with redirect_stdout(out), redirect_stderr(io.StringIO()):
        try:
            code = application(command)(args=words, prog_name="barwright", standalone_mode=False)
        except InputError as error:
            return out.getvalue(), "; ".join(map(_worded, error.problems.items)), Exit.BAD_INPUT
        except CheckFailedError as error:
            return out.getvalue(), str(error), Exit.OUR_FAILURE
        except StoppedError as stopped:
            return out.getvalue(), stopped_sentence(stopped.seconds), Exit.STOPPED
    if code == Exit.STOPPED:
        return out.getvalue(), TIME_RAN_OUT, Exit.STOPPED
    return out.getvalue(), "", Exit.OUR_FAILURE


def _worded(problem: Problem) -> str:
    """A problem in a line, with its place where it has one."""
    place = f"{problem.where.place}: " if problem.where.place else ""
    return f"{place}{problem.found}; expected: {problem.expected}"
