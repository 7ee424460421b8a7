"""Files that a command writes on request."""

from pathlib import Path

from ...constraints.values.problem import Problem, refuse_all


def put(path: Path, text: str | bytes, *, overwrite: bool) -> None:
    """Write a file.

    Raises:
        InputError: when something is in the way; then nothing was written.
    """
    from ...constraints.bench.writing import write_atomically

    problem = write_atomically(path, text, replace=overwrite)
    refuse_all(() if problem is None else (problem,))


def put_all(files: "tuple[tuple[Path, str], ...]", *, overwrite: bool) -> None:
    """Write several files, or none where one of them is there already and may not be replaced.

    Raises:
        InputError: when something is in the way.
    """
    from ...constraints.values.problem import Where

    refuse_all(
        Problem(Where(str(path)), "a file that is there already", "another name, or --overwrite")
        for path, _ in files
        if path.exists() and not overwrite
    )
    for path, text in files:
        put(path, text, overwrite=overwrite)


def folder_made(folder: Path) -> Path:
    """A folder to write to, made where it is not there.

    Raises:
        InputError: when it cannot be made.
    """
    from ...constraints.values.problem import refuse

    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        refuse(str(folder), error.strerror or str(error), "a folder to write to")
    return folder
