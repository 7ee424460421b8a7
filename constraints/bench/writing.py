"""Objects into files: a formula as text, and a text onto the disk whole or not at all."""

import contextlib
import os
import re
import secrets
import shutil
import time
from math import floor, fsum, isclose
from pathlib import Path

from ..model.brief import Composition
from ..values.door import LARGEST, seen
from ..values.problem import Problem, Where
from .brief_reading import SCHEMA
from .files import INPUTS, worded

_PLACES = 8
_STEPS = 100 * 10**_PLACES  # of 1e-8 %, in the whole


def formula_text(composition: Composition, *, because: str = "", source: str = "") -> str:
    """A formula file that ``read_formula`` reads back to the same shares.

    Shares are printed to 1e-8 % and add to exactly 100 %; materials without a share are left out.

    Args:
        composition: shares that add to one [kg/kg].
        because: why it is what it is.
        source: what it was made from.

    Raises:
        ValueError: when the shares do not add to one, or one is negative.
    """
    steps = _whole_steps(composition)
    about = {"name": composition.name, "from": source, "because": because}
    said = [f"{key} = {quoted(seen(text))}" for key, text in about.items() if text.strip()]
    head = [f"schema = {SCHEMA}", *said]
    parts = sorted(steps.items(), key=lambda part: (-part[1], part[0]))
    lines = [f'{quoted(name)} = "{_percent(count)} %"' for name, count in parts if count]
    return "\n".join([*head, "", "[parts]", *lines, ""])


def _whole_steps(composition: Composition) -> dict[str, int]:
    """Steps that add to the whole: those that lost most in rounding down are given one more."""
    parts = composition.parts
    total = fsum(parts.values())
    if not isclose(total, 1, abs_tol=1e-6) or min(parts.values()) < -1e-9:
        message = f"shares that add to {total}, the least of them {min(parts.values())}"
        raise ValueError(message)
    exact = {name: max(share, 0.0) / total * _STEPS for name, share in parts.items()}
    steps = {name: floor(value) for name, value in exact.items()}
    behind = sorted(exact, key=lambda name: (steps[name] - exact[name], name))
    missing = _STEPS - sum(steps.values())
    for place in range(abs(missing)):
        steps[behind[place % len(behind)]] += 1 if missing > 0 else -1
    return steps


def _percent(count: int) -> str:
    whole, part = divmod(count, 10**_PLACES)
    return f"{whole}.{part:0{_PLACES}d}".rstrip("0").rstrip(".")


def quoted(text: str) -> str:
    r"""A text as a TOML string that reads back as it was.

    >>> quoted('glycerin, "pure"')
    '"glycerin, \\"pure\\""'
    """
    return '"' + "".join(_escaped(char) for char in text) + '"'


def _escaped(char: str) -> str:
    if char in {'"', "\\"}:
        return "\\" + char
    if ord(char) < 0x20 or ord(char) == 0x7F:
        return f"\\u{ord(char):04x}"
    return char


def write_atomically(
    path: str | Path, text: str | bytes, *, replace: bool = False, own: bool = False
) -> Problem | None:
    """Write a file so that a reader sees all of it or none.

    A file that is replaced keeps its permissions, and a link leads to what is written.

    Args:
        path: where; its folder must be there.
        text: written as UTF-8 with plain line ends; bytes are written as they are.
        replace: whether a file that is there may be replaced. What a bench is read from, a device
            or a pipe never is, nor a formula by anything but a formula.
        own: whether that holds for what a bench is read from too.

    Returns:
        ``None``, or what stood in the way; then nothing was written.
    """
    path = Path(path)
    where = Where(str(path))
    try:
        target = Path(os.path.realpath(path)) if path.is_symlink() else path
        if os.path.lexists(path):
            problem = _in_the_way(path, target, text, replace=replace, own=own)
            if problem is not None:
                return problem
        _put(target, text, replace=replace)
    except FileExistsError:
        return Problem(where, *_TAKEN)
    except (OSError, ValueError) as error:
        return Problem(where, worded(error), "a place that can be written to")
    return None


# The commands call it so; a caller of the library passes ``replace``.
_TAKEN = ("a file that is there already", "another name, or --overwrite")


def _in_the_way(
    path: Path, target: Path, text: str | bytes, *, replace: bool, own: bool
) -> Problem | None:
    """What keeps a path that is taken from being written to."""
    another = "the name of another file"
    in_the_way = (
        (target.is_dir(), ("a folder", "the name of a file")),
        (not replace, _TAKEN),
        (target.is_symlink(), ("a link that leads to itself", another)),
        (_is_no_file(target), ("a device or a pipe", "the name of a file")),
        (not own and _read_from(target), ("a file that a bench is read from", another)),
        (not own and not _of_a_kind(target, text), ("a file of another kind", another)),
        (_is_locked(target), ("a file that may not be changed", another)),
    )
    found = next((words for bars, words in in_the_way if bars), None)
    return None if found is None else Problem(Where(str(path)), *found)


def _is_no_file(target: Path) -> bool:
    return target.exists() and not target.is_file()


def _is_locked(target: Path) -> bool:
    return target.exists() and not os.access(target, os.W_OK)


def _read_from(target: Path) -> bool:
    """Whether a file is one of those that make its folder a bench, by whatever name it goes."""
    inputs = (target.parent / name for name in INPUTS)
    return target.exists() and any(one.exists() and one.samefile(target) for one in inputs)


def _of_a_kind(target: Path, text: str | bytes) -> bool:
    """Whether what a bench may read from a file is what replaces it: a formula by a formula."""
    if not target.is_file():
        return True
    if isinstance(text, bytes):
        return target.suffix.casefold() not in {".csv", ".toml"} and not _holds_a_formula(target)
    with target.open(encoding="utf-8", errors="replace") as file:
        before = _kind(target, file.read(LARGEST))
    return not before or before == _kind(target, text)


def _holds_a_formula(target: Path) -> bool:
    """Whether a workbook is read as a formula, which no other workbook replaces."""
    from ..values.sheet import Sheet
    from .files import content_of
    from .workbook_reading import lines_of

    content, columns = content_of(target, str(target)), ("material", "amount")
    problems: list[Problem] = []
    sheet = Sheet(str(target), columns, columns, problems)
    return isinstance(content, bytes) and bool(lines_of(sheet, content, "formula"))


def _kind(target: Path, text: str) -> str:
    """What a bench would read a file as; empty for what it does not read."""
    if target.suffix.casefold() == ".csv":
        head = text.partition("\n")[0].casefold()
        return head if "material" in head else ""
    found = _SECTION.search(text) if target.suffix.casefold() == ".toml" else None
    return found[1] if found else ""


_SECTION = re.compile(r"^\[?(parts|points|rules)\b", re.MULTILINE)


def _put(target: Path, text: str | bytes, *, replace: bool) -> None:
    """Write a draft beside the file, whole, and give it the name."""
    _sweep(target.parent)
    draft = target.with_name(f"{_DRAFT}{os.getpid()}.{secrets.token_hex(4)}.part")
    try:
        with draft.open("xb") as file:
            file.write(text if isinstance(text, bytes) else text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        if replace and target.exists():
            shutil.copymode(target, draft)
        _name(draft, target, replace=replace)
    finally:
        _drop(draft)


_DRAFT = ".barwright."


def _name(draft: Path, target: Path, *, replace: bool) -> None:
    """Give the draft its name; where one got there first, only on request."""
    if replace:
        draft.replace(target)
    elif os.name == "nt":
        draft.rename(target)  # fails there where the name is taken
    else:
        _name_once(draft, target)


def _name_once(draft: Path, target: Path) -> None:
    """A link fails where a name is taken, a rename does not; some drives have no links."""
    try:
        target.hardlink_to(draft)
    except FileExistsError:
        raise
    except OSError:
        target.open("x").close()  # the name is ours now, or there is the error to report
        try:
            draft.replace(target)
        except OSError:
            _drop(target)
            raise


def _sweep(folder: Path) -> None:
    """Remove the drafts of commands that were killed while they wrote."""
    for draft in folder.glob(f"{_DRAFT}*.part"):
        writer = draft.name.removeprefix(_DRAFT).partition(".")[0]
        if not (writer.isdecimal() and _at_work(int(writer), draft)):
            _drop(draft)


def _at_work(writer: int, draft: Path) -> bool:
    """Whether the command that began a draft may still be writing it."""
    if os.name == "nt":  # asking for a process there would end it
        return time.time() - draft.stat().st_mtime < _AN_HOUR
    try:
        os.kill(writer, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True


_AN_HOUR = 3600.0  # no command writes for so long


def _drop(path: Path) -> None:
    """Remove what is not wanted; where that cannot be, the error that led here is what counts."""
    with contextlib.suppress(OSError):
        path.unlink(missing_ok=True)
