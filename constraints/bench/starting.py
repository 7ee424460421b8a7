"""A bench to begin with: the common one, or one of several kinds of bar that rest on it."""

from collections.abc import Iterator, Mapping
from enum import StrEnum
from pathlib import Path

from ..data import packaged
from ..values.problem import Problem, Where, refuse_all
from .files import content_of, is_folder, worded
from .writing import write_atomically

STARTER = ("brief.toml", "shelf.csv", "materials.toml", "formulas/first.toml")
BASE = "base.toml"


class Starter(StrEnum):
    """What kind of bar a bench begins with."""

    MILD = "mild"
    SULFATE = "sulfate"
    DRY_HAIR = "dry-hair"
    OILY_HAIR = "oily-hair"
    CONDITIONER = "conditioner"


def new_bench(folder: str | Path, kind: Starter | None = None) -> Path:
    """Make a folder a bench with a commented brief, a shelf and a formula; write over nothing.

    What a call left that was stopped midway is finished.

    Args:
        folder: to be made, or without these files.
        kind: of bar; its brief is then like ``base.toml`` beside it, and says what differs.
            ``None`` for the bar that the base describes.

    Returns:
        The folder.

    Raises:
        InputError: when one of its files is there already, or the folder cannot be made; every
            file is looked at before the first is written.
    """
    folder = Path(folder)
    texts = starter_files(kind)
    refuse_all(_taken(folder, texts))
    refuse_all(_written(folder, texts))
    return folder


def starter_files(kind: Starter | None = None) -> dict[str, str]:
    """What stands in the files of a bench to begin with, by file name."""
    starter = packaged("starter-bench")
    texts = {name: starter.joinpath(name).read_text(encoding="utf-8") for name in STARTER}
    if kind is None:
        return texts
    own = starter.joinpath("kinds", kind.value)
    for name in ("brief.toml", "materials.toml", "formulas/first.toml"):
        there = own.joinpath(name.rpartition("/")[2])
        if there.is_file():
            base = {BASE: texts[name]} if name == "brief.toml" else {}
            texts |= {**base, name: there.read_text(encoding="utf-8")}
    return texts


def _taken(folder: Path, texts: Mapping[str, str]) -> Iterator[Problem]:
    """What is in the way; a file that holds what would be written is not."""
    there = is_folder(folder)
    if isinstance(there, Problem):
        yield there
    elif not there and folder.exists():
        yield Problem(Where(str(folder)), "a file", "a name for a folder to be made")
    else:
        for name, text in texts.items():
            where = Where(str(folder / name))
            content = content_of(folder / name, where.file)
            if isinstance(content, Problem):
                yield content
            elif content and content != text.encode():
                expected = "a folder without it; nothing is written over"
                yield Problem(where, "a file that is already there", expected)


def _written(folder: Path, texts: Mapping[str, str]) -> Iterator[Problem]:
    """Write the files that are not there yet; gives what stood in the way."""
    try:
        (folder / "formulas").mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        yield Problem(Where(str(folder / "formulas")), worded(error), "a place for a folder")
        return
    for name, text in texts.items():
        content = content_of(folder / name, name)
        if content != text.encode():
            problem = write_atomically(folder / name, text, replace=content == b"", own=True)
            yield from () if problem is None else (problem,)
