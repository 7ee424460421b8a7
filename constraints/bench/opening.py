"""What a maker opens: a bench, a formula, a change; what is wrong with it is raised, all at once.

The calls that give :class:`Problems` as data stand behind these, for whoever collects them.
"""

from collections.abc import Iterable
from pathlib import Path

from ..model.brief import Bench, Composition
from ..model.wanted import PriceFrom, Wanted
from ..values.problem import Problems, sound
from . import (
    changing,
    price_history_reading,
    reading,
    readings_reading,
    wanted_reading,
    weighings_reading,
)
from .price_history_reading import Noted
from .readings_reading import Readings
from .wish import Start, Wish


def read_bench(folder: str | Path) -> Bench:
    """The bench in a folder: its brief, shelf, materials and market limits.

    Raises:
        InputError: when something in it is wrong; it holds every problem there is.
        TypeError: when ``folder`` is no path.
    """
    return sound(reading.read_bench(path_of(folder, "a bench is read from a folder")))


def bench_or_problems(folder: str | Path) -> Bench | Problems:
    """The bench in a folder, or everything wrong with it as data: for whoever shows it themselves.

    Raises:
        TypeError: when ``folder`` is no path.
    """
    return reading.read_bench(path_of(folder, "a bench is read from a folder"))


def read_formula(path: str | Path, bench: Bench) -> Composition:
    """The composition in a formula file of a bench.

    Raises:
        InputError: when something in it is wrong; it holds every problem there is.
        TypeError: when ``path`` is no path, or ``bench`` is no bench.
    """
    _expect_bench(bench)
    return sound(reading.read_formula(path_of(path, "a formula is read from a file"), bench))


def read_start(folder: str | Path, formulas: Iterable[str | Path], wish: Wish) -> Start:
    """A bench, formulas of it and what is to change, as a change begins.

    Raises:
        InputError: when something in them is wrong; it holds every problem there is.
        TypeError: when ``folder`` is no path.
    """
    return sound(
        changing.read_start(path_of(folder, "a bench is read from a folder"), formulas, wish)
    )


def read_readings(path: str | Path, bench: Bench, composition: Composition) -> Readings:
    """Readings of a material or of a bar, to learn from.

    Raises:
        InputError: when something in them is wrong; it holds every problem there is.
        TypeError: when ``path`` is no path, or ``bench`` is no bench.
    """
    _expect_bench(bench)
    file = path_of(path, "readings are read from a file")
    return sound(readings_reading.read_readings(file, bench, composition))


def read_weighings(asked: str) -> tuple[float, ...]:
    """Bars as pressed, weighed one by one [kg]: from a file, or from a list in grams.

    Raises:
        InputError: when some cannot be read; it holds every problem there is.
    """
    return sound(weighings_reading.read_weighings(asked))


def read_wanted(path: str | Path) -> tuple[Wanted, ...]:
    """The bars that a sheet wants, with the benches and formulas that it names.

    Raises:
        InputError: when something in them is wrong; it holds every problem there is.
        TypeError: when ``path`` is no path.
    """
    return sound(wanted_reading.read_wanted(path_of(path, "a sheet is read from a file")))


def read_prices(path: str | Path, benches: tuple[Bench, ...]) -> tuple[PriceFrom, ...]:
    """Prices that change from some week on, of offers that stand on the shelves of some benches.

    Raises:
        InputError: when something in the sheet is wrong; it holds every problem there is.
        TypeError: when ``path`` is no path.
    """
    return sound(wanted_reading.read_prices(path_of(path, "prices are read from a file"), benches))


def read_price_history(path: str | Path, bench: Bench) -> tuple[Noted, ...]:
    """Prices that were [money/kg], a state of the market a line, of materials on a shelf.

    Raises:
        InputError: when something in the sheet is wrong; it holds every problem there is.
        TypeError: when ``path`` is no path, or ``bench`` is no bench.
    """
    _expect_bench(bench)
    path = path_of(path, "prices are read from a file")
    return sound(price_history_reading.read_price_history(path, bench))


def path_of(given: object, what: str) -> Path:
    """A path as given.

    Raises:
        TypeError: when it is none.
    """
    if isinstance(given, str | Path):
        return Path(given)
    message = f"{what}, written as text or a Path, not as {type(given).__name__}"
    raise TypeError(message)


def _expect_bench(given: object) -> None:
    if not isinstance(given, Bench):
        message = f"expected a Bench, as read_bench gives it, not {type(given).__name__}"
        raise TypeError(message)
