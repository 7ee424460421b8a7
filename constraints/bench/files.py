"""The files of a bench on the disk: their names, and what stands in one of them."""

from pathlib import Path

from ..values.door import LARGEST
from ..values.problem import Problem, Problems, Where
from ..values.text import text_of

BRIEF, SHELF, SHELF_BOOK = "brief.toml", "shelf.csv", "shelf.xlsx"
MATERIALS, WORKSHOP = "materials.toml", "workshop.toml"
INPUTS = (BRIEF, SHELF, SHELF_BOOK, MATERIALS, WORKSHOP)
"""What a bench is read from, which only a command that is asked to change it replaces."""


def content_of(path: str | Path, shown_as: str) -> bytes | Problem | None:
    """What stands in a file; ``None`` where there is none.

    No more is read than any file may hold, so that a device without end does no harm.
    """
    path = Path(path)
    try:
        if path.is_dir():
            return Problem(Where(shown_as), "a folder", "a file")
        with path.open("rb") as file:
            return file.read(LARGEST + 1)
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        return Problem(Where(shown_as), worded(error), "a file that can be read")


def content_in(path: str | Path, expected: str) -> bytes | Problem:
    """What stands in a file that must be there, or what keeps it from being read.

    Args:
        path: of the file, shown as it was written.
        expected: what should be there.
    """
    content = content_of(path, str(path))
    return Problem(Where(str(path)), "no such file", expected) if content is None else content


def text_in(path: str | Path, expected: str) -> str | Problems:
    """The same as text."""
    content = content_in(path, expected)
    if isinstance(content, Problem):
        return Problems((content,))
    problems: list[Problem] = []
    text = text_of(str(path), content, problems)
    return Problems(tuple(problems)) if text is None else text


def bench_folder(formula: Path) -> Path | None:
    """The bench of a formula: the folder it stands in, or that of its folder of formulas."""
    near = formula.absolute().parents[:2]
    return next((one for one in near if (one / BRIEF).is_file()), None)


def is_folder(path: Path) -> bool | Problem:
    """Whether a folder is there, or what keeps that from being told."""
    try:
        return path.is_dir()
    except (OSError, ValueError) as error:
        return Problem(Where(str(path)), worded(error), "a folder that can be read")


def worded(error: OSError | ValueError) -> str:
    """What an operating system has against a file, without its number."""
    words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return words[:1].lower() + words[1:]
