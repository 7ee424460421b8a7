"""The book on the disk: batches opened, closed and undone, one process at a time.

Closing changes two files, the shelf and the batch. Both new contents are first written into one
journal; only then are they put in place. Whoever opens the book next finishes what a journal says,
so that a process that is ended half way leaves either all of it or nothing.
"""

import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from ..model.book import BatchMade, State
from ..values.problem import InputError, Problem, Problems, refuse, sound
from .book_reading import batch_in, batch_text
from .files import SHELF, SHELF_BOOK, content_in, is_folder
from .locking import held
from .stock_writing import with_stock_changed
from .writing import write_atomically

BOOK = "book"
JOURNAL, LOCK = ".journal.json", ".lock"


def read_book(workshop: str | Path) -> tuple[BatchMade, ...]:
    """Every batch in the book of a workshop, by number.

    Raises:
        InputError: when something in its files is wrong.
    """
    folder = _book_of(workshop)
    if not folder.is_dir():
        return ()
    with _locked(folder):
        return _read(folder)


def _book_of(workshop: str | Path) -> Path:
    """Where a workshop keeps its book; the workshop is there."""
    there = is_folder(Path(workshop))
    if isinstance(there, Problem):
        raise InputError(Problems((there,)))
    if not there:
        found = "no folder" if Path(workshop).exists() else "no such folder"
        refuse(str(workshop), found, "the folder of a workshop")
    return Path(workshop) / BOOK


def _read(folder: Path) -> tuple[BatchMade, ...]:
    read = [
        batch_in(str(path), _content(path), path.stem) for path in sorted(folder.glob("*.toml"))
    ]
    problems = [one for each in read if isinstance(each, Problems) for one in each.items]
    if problems:
        raise InputError(Problems(tuple(problems)))
    return tuple(one for one in read if isinstance(one, BatchMade))


def _content(path: Path) -> bytes:
    content = content_in(path, "a file of the book")
    if isinstance(content, Problem):
        raise InputError(Problems((content,)))
    return content


def open_batch(workshop: str | Path, batch: BatchMade) -> BatchMade:
    """Put a batch into the book under the next free number of its day; the stock stays.

    Raises:
        InputError: when it cannot be written.
    """
    folder = _book_of(workshop)
    folder.mkdir(exist_ok=True)
    with _locked(folder):
        taken = {path.stem for path in folder.glob("*.toml")}
        numbers = (f"{batch.made}-{place:02}" for place in range(1, len(taken) + 2))
        number = next(one for one in numbers if one not in taken)
        opened = replace(batch, number=number, state=State.OPEN)
        _put(folder / f"{number}.toml", batch_text(opened))
        return opened


def close_batch(workshop: str | Path, number: str) -> BatchMade:
    """Close a batch: the stock is lowered by what went in, all of it or nothing.

    Raises:
        InputError: when the batch is not open, or more went in than is there.
    """
    return _turned(workshop, number, State.CLOSED, lambda made: -made)


def undo_batch(workshop: str | Path, number: str) -> BatchMade:
    """Undo the closing of a batch: what went in is there again.

    Raises:
        InputError: when the batch is not closed.
    """
    return _turned(workshop, number, State.UNDONE, lambda made: made)


def _turned(
    workshop: str | Path, number: str, to: State, signed: Callable[[float], float]
) -> BatchMade:
    folder = _book_of(workshop)
    root = folder.parent
    path = folder / f"{number}.toml"
    if not path.is_file():
        there = sorted(one.stem for one in folder.glob("*.toml")) if folder.is_dir() else []
        refuse(str(path), "no such batch", "a batch of the book", tuple(there[-3:]))
    with _locked(folder):
        batch = sound(batch_in(str(path), _content(path), number))
        if (batch.state is State.CLOSED) == (to is State.CLOSED):
            refuse(str(path), f"a batch that is {batch.state}", _EXPECTED[to])
        changes = {(one.material, one.lot): 0.0 for one in batch.weighed}
        for one in batch.weighed:
            changes[one.material, one.lot] += signed(one.mass)
        shelf = root / SHELF
        if not shelf.is_file():
            found = f"{SHELF_BOOK} alone" if (root / SHELF_BOOK).is_file() else "no such file"
            refuse(str(shelf), found, f"a {SHELF} here, of which the stock is lowered")
        text = sound(with_stock_changed(str(shelf), _content(shelf), changes))
        turned = replace(batch, state=to)
        _journalled(folder, {shelf: text, path: batch_text(turned)})
        return turned


_EXPECTED = {State.CLOSED: "an open batch, or one undone", State.UNDONE: "a closed batch"}


@contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """Hold the book alone, and first finish what another was ended in."""
    with held(folder / LOCK):
        _finish(folder)
        yield


def _journalled(folder: Path, files: dict[Path, str]) -> None:
    """Write several files so that all of them change or none."""
    said = {str(path.relative_to(folder.parent)): text for path, text in files.items()}
    _put(folder / JOURNAL, json.dumps(said))
    _finish(folder)


def _finish(folder: Path) -> None:
    """Put in place what a journal says; doing it twice changes nothing more."""
    journal = folder / JOURNAL
    if not journal.is_file():
        return
    for name, text in json.loads(journal.read_text("utf-8")).items():
        _put(folder.parent / name, text)
    journal.unlink()
    _settle(folder)


def _settle(folder: Path) -> None:
    """See to it that a name that is gone stays gone when the power fails."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _put(path: Path, text: str) -> None:
    problem = write_atomically(path, text, replace=True, own=True)
    if isinstance(problem, Problem):
        raise InputError(Problems((problem,)))
