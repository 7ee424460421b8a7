"""Readings of a titration at the bench: what was added, and the pH it gave."""

from collections.abc import Collection
from dataclasses import dataclass, field
from pathlib import Path

from ..acidity.constants import constants
from ..model.brief import Bench, Composition
from ..values.names import nearest_names
from ..values.problem import Problem, Problems, Where
from ..values.table import Table, table_of, worded
from ..values.units import Dimension, parse, shown
from .brief_reading import schema_kept
from .files import content_in

KEYS = ("schema", "of", "sample", "water", "added", "date", "strip", "meter", "points")


@dataclass(frozen=True, slots=True)
class Instrument:
    """What a pH was read with.

    Args:
        name: ``strip`` or ``meter``.
        figure: the step of a strip, or within how much a meter reads [pH].
    """

    name: str
    figure: float

    @property
    def within(self) -> float:
        """How far the pH may lie from the one that was read."""
        return self.figure / 2.0 if self.name == "strip" else self.figure


def _usual() -> Instrument:
    return Instrument("meter", constants().meter)


@dataclass(frozen=True, slots=True)
class Readings:
    """pH readings of one sample in water, at 25 °C, as a material is added to it.

    Args:
        of: the material or the formula that the sample is of.
        sample: [kg].
        water: water it was dispersed in [kg].
        added: the material added, an acid or a base; empty where nothing was.
        date: when it was read (ISO).
        points: mass added so far [kg] and the pH read.
        where: the file.
        instrument: what it was read with.
    """

    of: str
    sample: float
    water: float
    added: str
    date: str
    points: tuple[tuple[float, float], ...]
    where: Where
    instrument: Instrument = field(default_factory=_usual)


def read_readings(path: str | Path, bench: Bench, composition: Composition) -> Readings | Problems:
    """Read a file of readings of a material or of a bar.

    Any material that the bench or the catalogue knows may be named, on the shelf or not.

    Args:
        path: of the file.
        bench: where it belongs.
        composition: the bar that the sample may be of, by its name.

    Returns:
        The readings, or everything that is wrong with the file.
    """
    return read_readings_of(path, bench, (composition.name,))


def read_readings_of(
    path: str | Path, bench: Bench, formulas: Collection[str]
) -> Readings | Problems:
    """Read a file of readings of a material or of one of several bars.

    Args:
        path: of the file.
        bench: where it belongs.
        formulas: names of the bars that the sample may be of.

    Returns:
        The readings, or everything that is wrong with the file.
    """
    content = content_in(path, "a file of readings")
    if isinstance(content, Problem):
        return Problems((content,))
    materials = bench.stores.material_names
    return readings_of(str(path), content, (*materials, *formulas), materials)


def readings_of(
    file: str, content: str | bytes, samples: Collection[str], materials: Collection[str]
) -> Readings | Problems:
    """Readings from the content of their file.

    Args:
        file: its name, for problems to refer to.
        content: the TOML text: ``schema = 1``, ``of``, ``sample = "10 g"``, ``water = "90 g"``,
            ``added``, ``date``, ``points = [["0 g", 8.9], ["0.1 g", 6.4]]`` and ``strip = 0.5``,
            its step, or ``meter = 0.05``, within which it reads. ``added`` is left out where
            nothing was added.
        samples: names that ``of`` may give.
        materials: names that ``added`` may give.

    Returns:
        The readings, or everything that is wrong with them.
    """
    problems: list[Problem] = []
    top = table_of(file, content, problems)
    readings = None if top is None else _readings(top, samples, materials)
    if problems or readings is None:
        return Problems(tuple(problems))
    return readings


def _readings(top: Table, samples: Collection[str], materials: Collection[str]) -> Readings | None:
    if not schema_kept(top):
        return None
    top.only(KEYS)
    of = _name(top, "of", samples, "what the sample is of")
    sample = _mass(top, "sample", 'the mass of the sample, such as sample = "10 g"')
    water = _mass(top, "water", 'the water it is dispersed in, such as water = "90 g"')
    added = _added(top, materials)
    date = top.day("date", 'the day of the readings, such as date = "2026-11-20"', needed=True)
    points = _points(top)
    instrument = _instrument(top)
    if of is None or sample is None or water is None or added is None or date is None:
        return None
    return Readings(of, sample, water, added, date, points, top.where(), instrument)


def _added(top: Table, materials: Collection[str]) -> str | None:
    """What was added; nothing needs to be named where nothing was."""
    rows = top.values.get("points")
    pairs = rows if isinstance(rows, list) else [None]
    nothing = all(isinstance(row, list) and row and _is_nothing(row[0]) for row in pairs)
    if "added" not in top and nothing:
        return ""
    return _name(top, "added", materials, "the material that is added")


def _is_nothing(mass: object) -> bool:
    return isinstance(mass, str) and parse(mass, Dimension.MASS) == 0.0


def _instrument(top: Table) -> Instrument:
    """What it was read with; a meter of the usual kind where nothing is said."""
    given = [name for name in ("strip", "meter") if name in top]
    if len(given) > 1:
        top.refuse("a strip and a meter", "one of the two", "strip")
    for name in given:
        figure = top.quantity(name, Dimension.PH)
        if figure == 0.0:
            top.refuse(worded(top.values[name]), "more than nothing", name)
        if figure:
            return Instrument(name, figure)
    return _usual()


def _name(top: Table, key: str, known: Collection[str], meaning: str) -> str | None:
    name = top.text(key, meaning, needed=True)
    if name is None or name in known:
        return name
    top.refuse(shown(name), "a known name", key, nearest=nearest_names(name, known))
    return None


def _mass(top: Table, key: str, needed: str) -> float | None:
    mass = top.quantity(key, Dimension.MASS, needed=needed)
    if mass == 0.0:
        top.refuse(worded(top.values[key]), "more than nothing", key)
        return None
    return mass


def _points(top: Table) -> tuple[tuple[float, float], ...]:
    rows = top.values.get("points")
    if not isinstance(rows, list) or not rows:
        expected = 'pairs of mass added and pH, such as points = [["0 g", 8.9], ["0.1 g", 6.4]]'
        top.refuse("no points" if rows is None else worded(rows), expected, "points")
        return ()
    points = (_point(top, row, str(number)) for number, row in enumerate(rows, start=1))
    return tuple(point for point in points if point is not None)


def _point(top: Table, row: object, number: str) -> tuple[float, float] | None:
    if not isinstance(row, list) or len(row) != 2:
        expected = 'a mass and a pH, such as ["0.1 g", 6.4]'
        top.refuse(worded(row), expected, "points", number)
        return None
    mass = top.figure(row[0], Dimension.MASS, "points", number)
    ph = top.figure(row[1], Dimension.PH, "points", number)
    return None if mass is None or ph is None else (mass, ph)
