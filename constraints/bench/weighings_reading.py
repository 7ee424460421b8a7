"""Bars weighed one by one at the bench: a file or a line of masses."""

import re
from collections.abc import Iterator
from pathlib import Path

from ..values.problem import Problem, Problems, Where
from ..values.text import text_of
from ..values.units import Dimension, Misread, parse
from .files import content_of

_COMMENT = re.compile(r"#.*")
_BETWEEN = re.compile(r"[;\s]+")
_BARE = re.compile(r"[0-9.,]+")


def read_weighings(asked: str) -> tuple[float, ...] | Problems:
    """Masses [kg] from a file of that name, or from the text itself.

    Masses stand apart by blanks, semicolons, line ends or, where none has a decimal comma, commas;
    a bare figure is in grams, as a balance shows it. What follows ``#`` is a remark.
    """
    path = Path(asked)
    try:
        named = path.is_file()
    except (OSError, ValueError):  # a text too long or too odd to be a name is a list
        named = False
    if not named:
        return weighings_of("weighings", asked)
    content, problems = content_of(path, str(path)), list[Problem]()
    if isinstance(content, Problem):
        return Problems((content,))
    text = text_of(str(path), content or b"", problems)
    return weighings_of(str(path), text) if text is not None else Problems(tuple(problems))


def weighings_of(file: str, text: str) -> tuple[float, ...] | Problems:
    """Masses [kg] from a text.

    >>> weighings_of("list", "61.2 60.9; 61.4 g")
    (0.0612, 0.0609, 0.0614)
    """
    read = [(number, word, _mass(word)) for number, word in enumerate(_words(text), start=1)]
    problems = tuple(
        Problem(Where(file, f"weighing {number}"), mass.found, mass.expected, mass.nearest)
        for number, _, mass in read
        if isinstance(mass, Misread)
    )
    if not read:
        problems = (
            Problem(Where(file), "no masses", "bars weighed one by one, such as 61.2 60.9"),
        )
    if problems:
        return Problems(problems)
    return tuple(mass for _, _, mass in read if not isinstance(mass, Misread))


def _words(text: str) -> Iterator[str]:
    """The masses as written, each with its unit."""
    plain = "\n".join(_COMMENT.sub("", line) for line in text.splitlines())
    joined = re.sub(r"(?<=[0-9])[ \t]+(?=[mk]?g\b)", "", plain)
    for chunk in _BETWEEN.split(joined):
        inside = chunk.strip(",")
        yield from filter(None, inside.split(",") if _listed(inside) else (inside,))


def _listed(chunk: str) -> bool:
    """Whether commas part masses: several do, and so does one beside a point."""
    return chunk.count(",") > 1 or ("," in chunk and "." in chunk)


def _mass(word: str) -> float | Misread:
    return parse(f"{word} g" if _BARE.fullmatch(word) else word, Dimension.MASS)
