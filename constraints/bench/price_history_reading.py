"""A sheet of prices that were: a column for each material, a line for each date."""

from collections.abc import Iterator, Mapping
from pathlib import Path

from ..model.brief import Bench
from ..values.names import spelt
from ..values.problem import Problem, Problems, Where, shown
from ..values.sheet import Line, Sheet
from ..values.units import Dimension, Misread, parse
from .files import content_in
from .workbook_reading import lines_of

DATE = "date"

Noted = Mapping[str, float]
"""A state of the market: material -> price [money/kg]."""


def read_price_history(path: str | Path, bench: Bench) -> tuple[Noted, ...] | Problems:
    """Read a sheet of prices that were noted.

    Args:
        path: of a file whose first line names materials of the shelf, with a column ``date``
            besides if there is one. Each further line is a state of the market: prices for a
            kilogram, with their currency or bare; an empty field leaves today's price. A workbook
            will do: its sheet of the file's name, else its first.
        bench: whose shelf it is about.

    Returns:
        The states in the order of the sheet, or every problem in it.
    """
    path, problems = Path(path), list[Problem]()
    content = content_in(path, "a sheet of prices, a column for each material")
    if isinstance(content, Problem):
        return Problems((content,))
    sheet = Sheet(
        str(path), (DATE,), (), problems, called=bench.names, thing="a material on the shelf"
    )
    lines = lines_of(sheet, content, path.stem.casefold())
    noted = tuple(dict(_prices(line, bench, problems)) for line in lines)
    if not problems and not any(noted):
        expected = "materials in the first line, then a line of prices for each date"
        problems.append(Problem(Where(str(path)), "no prices", expected))
    return Problems(tuple(problems)) if problems else noted


def _prices(line: Line, bench: Bench, problems: list[Problem]) -> Iterator[tuple[str, float]]:
    currency = bench.brief.currency
    for column, written in line.fields.items():
        name = spelt(column, bench.names)
        if column == DATE or name is None or not written:
            continue
        read = parse(
            _a_kilogram(written, currency), Dimension.PRICE, {currency: 1.0}, comma=line.comma
        )
        if isinstance(read, Misread):
            problems.append(line.problem(column, shown(written), read.expected, read.nearest))
        elif read <= 0.0:
            problems.append(line.problem(column, shown(written), "a price above 0"))
        else:
            yield name, read


def _a_kilogram(written: str, currency: str) -> str:
    """A price with its unit: a bare figure, and a sum of money, are for a kilogram."""
    bare = not any(sign.isalpha() or sign in "€£$¥₹₩₺₴/" for sign in written)
    if bare:
        return f"{written} {currency}/kg"
    return written if "/" in written else f"{written}/kg"
