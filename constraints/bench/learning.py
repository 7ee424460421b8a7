"""What readings taught of a material, written into the maker's own file of materials."""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from ..acidity.unknown import alkalinity_of
from ..model.brief import Bench
from ..model.material import Material, Span
from ..values.problem import Problem, Problems, Where
from .changing import with_stores
from .files import MATERIALS, content_of
from .readings_reading import Readings
from .writing import write_atomically

if TYPE_CHECKING:
    from tomlkit import TOMLDocument
    from tomlkit.items import Array, Item, Table

Toml: TypeAlias = dict[str, Any]
"""A table of a TOML file, whose values may be of any kind that TOML has."""

_PLACES = 6  # [mol/kg]; well below what a reading can tell


@dataclass(frozen=True, slots=True)
class Lesson:
    """What is to be known of a material from now on, and the readings that say so.

    Args:
        material: its name.
        alkalinity: base that its substances do not account for [mol/kg], as it is written.
        buffer: charge taken up per pH step besides [mol/(kg·pH)], as it is written.
        readings: of the material itself, or of a bar that it is in.
    """

    material: str
    alkalinity: Span
    buffer: float
    readings: Readings


def lesson_of(
    material: Material,
    alkalinity: Span,
    buffer: float,
    readings: Readings,
    share: float | None = None,
) -> Lesson:
    """What a fit of readings says of a material.

    Args:
        material: the material as it is known so far.
        alkalinity: found by the readings [mol per kg of what was read].
        buffer: found by the readings [mol/(kg·pH)].
        readings: what was read.
        share: of the material in the bar that was read [kg/kg]. What was found in a bar comes on
            top of what its materials are known to hold, all of it laid on this one; ``None`` where
            the material itself was read.

    Raises:
        ValueError: when the share is not in (0, 1].
    """
    if share is None:
        return Lesson(material.name, _rounded(alkalinity), round(buffer, _PLACES), readings)
    if not 0.0 < share <= 1.0:
        msg = f"a share lies above 0 and at most at 1, not at {share}"
        raise ValueError(msg)
    before = alkalinity_of(material).typical
    ends = (alkalinity.low, alkalinity.typical, alkalinity.high)
    span = _rounded(Span(*(before + end / share for end in ends)))
    return Lesson(material.name, span, round(material.buffer + buffer / share, _PLACES), readings)


def _rounded(span: Span) -> Span:
    return Span(*(round(end, _PLACES) + 0.0 for end in (span.low, span.typical, span.high)))


def lesson_lines(lesson: Lesson) -> tuple[str, ...]:
    """The keys of a lesson as they stand in a file of materials."""
    import tomlkit

    table = tomlkit.table()
    _put(table, lesson)
    return tuple(table.as_string().rstrip("\n").split("\n"))


def write_lesson(folder: str | Path, lesson: Lesson) -> Problem | None:
    """Write a lesson into a bench's ``materials.toml``, all of it or nothing.

    Everything else in the file stays as it is, comments too; without a file, one is begun.

    Args:
        folder: of the bench.
        lesson: what was learnt.

    Returns:
        ``None``, or what stood in the way; then nothing was written.
    """
    path = Path(folder) / MATERIALS
    content = content_of(path, str(path))
    if isinstance(content, Problem):
        return content
    text = lesson_text(None if content is None else content.decode("utf-8", "replace"), lesson)
    if isinstance(text, Problem):
        return text
    return write_atomically(path, text, replace=content is not None, own=True)


def with_lesson(bench: Bench, lesson: Lesson) -> Bench | Problems:
    """The bench as it is read once the lesson is written: what is like the material learns too."""
    files = {} if bench.written is None else bench.written.files
    own = files.get(MATERIALS)
    text = lesson_text(own.decode("utf-8") if isinstance(own, bytes) else own, lesson)
    if isinstance(text, Problem):
        return Problems((text,))
    return with_stores(bench, text.encode())


def lesson_text(content: str | None, lesson: Lesson) -> str | Problem:
    """A file of materials with a lesson in it.

    Args:
        content: the file as it is; ``None`` where there is none.
        lesson: what was learnt.

    Returns:
        The new text, or why the lesson cannot be put there. That a reader finds in it what was
        there before and the lesson, nothing else, is checked before it is given.
    """
    import tomlkit

    text = "" if content is None else content.removeprefix(_MARK).replace("\r\n", "\n")
    document = tomlkit.parse(text)
    new = lesson.material not in document
    entry = tomlkit.table() if new else document[lesson.material]
    if not isinstance(entry, tomlkit.items.Table):
        return _refused(lesson)
    _put(entry, lesson)
    if new:
        for key, value in _source(lesson).items():
            entry.append(key, value)
        _set_apart(document, text)
        document.append(tomlkit.key([lesson.material]), entry)
    made = tomlkit.dumps(document)
    if not _reads_as(made, _expected(tomllib.loads(text), lesson)):
        return _refused(lesson)
    return _as_it_was(content or "", made)


_MARK = "\ufeff"  # of byte order, which some editors put first


def _reads_as(made: str, expected: Toml) -> bool:
    try:
        return tomllib.loads(made) == expected
    except tomllib.TOMLDecodeError:
        return False  # the caller words it: no table could be found to put the keys into


def _refused(lesson: Lesson) -> Problem:
    where = Where(MATERIALS, f'"{lesson.material}"')
    expected = "all its keys in one place, under its name in square brackets"
    return Problem(where, "an entry written in a form that is not added to", expected)


def _set_apart(document: "TOMLDocument", text: str) -> None:
    """An empty line before what is added at the end."""
    import tomlkit

    if text.strip() and not text.endswith("\n\n"):
        document.add(tomlkit.nl())
        if not text.endswith("\n"):
            document.add(tomlkit.nl())


def _as_it_was(content: str, made: str) -> str:
    """The mark of byte order and the line ends that the maker's editor put there."""
    ends = made.replace("\n", "\r\n") if "\r\n" in content else made
    return _MARK + ends if content.startswith(_MARK) else ends


def _figures(lesson: Lesson) -> Toml:
    span = lesson.alkalinity
    ends = (span.low, span.typical, span.high)
    same = span.low == span.high
    return {
        "alkalinity": _amount(span.typical) if same else [_amount(end) for end in ends],
        "buffer": _amount(lesson.buffer),
    }


def _account(lesson: Lesson) -> Toml:
    """The readings, in the form in which a file of readings has them."""
    readings = lesson.readings
    added = {"added": readings.added} if readings.added else {}
    return {
        "date": readings.date,
        "file": Path(readings.where.file).name,
        "of": readings.of,
        "sample": _grams(readings.sample),
        "water": _grams(readings.water),
        **added,
        readings.instrument.name: readings.instrument.figure,
        "points": [[_grams(mass), ph] for mass, ph in readings.points],
    }


def _one_a_line(lesson: Lesson) -> "Array":
    import tomlkit

    points = tomlkit.array()
    points.extend(_account(lesson)["points"])
    return points.multiline(multiline=True)


def _source(lesson: Lesson) -> dict[str, str]:
    """Where the figures of an entry that only the readings brought about come from."""
    said = "alkalinity and buffer: the readings under learnt; the rest: the catalogue"
    return {"source": said, "kind": "measured", "date": lesson.readings.date}


def _expected(before: Toml, lesson: Lesson) -> Toml:
    entry = before.get(lesson.material, _source(lesson))
    learnt = {**entry.get("learnt", {}), **_account(lesson)}
    return {**before, lesson.material: {**entry, **_figures(lesson), "learnt": learnt}}


def _put(entry: "Table", lesson: Lesson) -> None:
    """Set keys where they stand already, the others after the last key of the entry."""
    import tomlkit

    aside = _set_aside(entry)
    for key, value in _figures(lesson).items():
        _set(entry, key, value)
    learnt = entry.get("learnt")
    for key, value in {**_account(lesson), "points": _one_a_line(lesson)}.items():
        if learnt is None:
            entry.append(tomlkit.key(["learnt", key]), value)
        else:
            learnt[key] = value
    _put_back(entry, aside)


def _set(entry: "Table", key: str, value: object) -> None:
    standing = entry.get(key)
    if isinstance(standing, list) and isinstance(value, list) and len(standing) == len(value):
        for place, figure in enumerate(value):  # each in its place, for comments between them
            standing[place] = figure
    else:
        entry[key] = value


def _set_aside(entry: "Table") -> "list[tuple[Item, Item]]":
    """Comments after the last key speak of what follows; what is added goes before them."""
    from tomlkit.items import AoT, Null, Table

    body = entry.value.body
    plain = [
        number
        for number, (key, item) in enumerate(body)
        if key is not None and (key.is_dotted() or not isinstance(item, Table | AoT))
    ]
    aside: list[tuple[Item, Item]] = []
    for number in range(plain[-1] + 1 if plain else 0, len(body)):
        key, item = body[number]
        if key is None:
            held: Item = Null()
            body[number] = (None, held)
            aside.append((held, item))
    return aside


def _put_back(entry: "Table", aside: "list[tuple[Item, Item]]") -> None:
    body = entry.value.body
    for held, item in aside:
        place = next(number for number, (_, stands) in enumerate(body) if stands is held)
        body[place] = (None, item)


def _amount(value: float) -> str:
    return f"{_decimal(value, _PLACES)} mol/kg"


def _grams(mass: float) -> str:
    return f"{_decimal(mass * 1000.0, 9)} g"


def _decimal(value: float, places: int) -> str:
    """A figure written out, without an exponent and without noughts at its end."""
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
