"""Objects into files: a formula as text, and a text onto the disk whole or not at all."""

import os
from math import floor, fsum, isclose
from pathlib import Path

from ..model.brief import Composition
from ..values.problem import Problem, Where
from .brief_reading import SCHEMA

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
    said = [f"{key} = {quoted(text)}" for key, text in about.items() if text.strip()]
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


def write_atomically(path: str | Path, text: str, *, replace: bool = False) -> Problem | None:
    """Write a file so that a reader sees all of it or none.

    Args:
        path: where; its folder must be there.
        text: written as UTF-8 with plain line ends.
        replace: whether a file that is there may be replaced.

    Returns:
        ``None``, or what stood in the way; then nothing was written.
    """
    path, where = Path(path), Where(str(path))
    if path.is_dir():
        return Problem(where, "a folder", "the name of a file")
    if not replace and path.exists():
        return _in_the_way(where)
    draft = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with draft.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        _put(draft, path, replace=replace)
    except FileExistsError:
        return _in_the_way(where)
    except (OSError, ValueError) as error:
        return Problem(where, str(error), "a place that can be written to")
    finally:
        draft.unlink(missing_ok=True)
    return None


def _put(draft: Path, path: Path, *, replace: bool) -> None:
    """Give the draft its name; a link fails where another got there first, a rename would not."""
    if replace:
        draft.replace(path)
    else:
        path.hardlink_to(draft)


def _in_the_way(where: Where) -> Problem:
    return Problem(where, "a file that is there already", "another name, or leave to replace it")
