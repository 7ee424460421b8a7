"""A sheet of bars wanted, and one of prices by week; the benches and formulas they name."""

from collections.abc import Iterator
from pathlib import Path

from ..model.brief import Bench, Composition
from ..model.wanted import PriceFrom, Wanted
from ..values.names import folded, nearest_names, spelt
from ..values.problem import Problem, Problems, Where
from ..values.sheet import Line, Sheet
from ..values.units import Dimension, Misread, parse, shown
from .files import bench_folder, content_in
from .reading import read_bench, read_formula
from .workbook_reading import lines_of

COLUMNS = ("formula", "bars", "week", "fill")
PRICE_COLUMNS = ("material", "week", "price", "supplier", "pack")
MOST_WEEKS = 104
MOST_BARS = 1_000_000


def read_wanted(path: str | Path) -> tuple[Wanted, ...] | Problems:
    """Read a sheet of bars wanted.

    Args:
        path: of a file with the columns formula (a file, as seen from the sheet), bars, week (1
            where blank) and fill (the mass to press, where it is not the smallest that will do).
            The bench of a formula is its folder, or the one above, with a ``brief.toml``. A
            workbook will do: its sheet of the file's name, else its first.

    Returns:
        The bars, in the order of the sheet, or every problem in it and in what it names.
    """
    path, problems = Path(path), list[Problem]()
    lines = _lines(path, COLUMNS, ("formula", "bars"), problems)
    opened = _Opened(path.parent)
    wanted = [one for line in lines if (one := _wanted(line, opened, problems)) is not None]
    if not lines and not problems:
        problems.append(Problem(Where(str(path)), "no bars", "a line for each kind of bar"))
    return Problems(tuple(problems)) if problems else tuple(wanted)


def read_prices(path: str | Path, benches: tuple[Bench, ...]) -> tuple[PriceFrom, ...] | Problems:
    """Read a sheet of prices that change, with the columns material, week, price, supplier, pack.

    Returns:
        The prices, or every problem in the sheet.
    """
    problems: list[Problem] = []
    lines = _lines(Path(path), PRICE_COLUMNS, ("material", "week", "price"), problems)
    read = [one for line in lines if (one := _price(line, benches, problems)) is not None]
    return Problems(tuple(problems)) if problems else tuple(read)


def _lines(
    path: Path, columns: tuple[str, ...], needed: tuple[str, ...], problems: list[Problem]
) -> list[Line]:
    shown_as = str(path)
    content = content_in(path, f"a sheet of {columns[0]}s")
    if isinstance(content, Problem):
        problems.append(content)
        return []
    return lines_of(Sheet(shown_as, columns, needed, problems), content, path.stem.casefold())


class _Opened:
    """Benches and formulas, each read once however often they are named."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._benches: dict[Path, Bench | Problems] = {}
        self._formulas: dict[Path, Composition | Problems] = {}

    def formula(self, written: str, line: Line) -> tuple[Bench, Composition] | Problems:
        path = self._folder / written
        folder = bench_folder(path)
        if not path.is_file() or folder is None:
            found = f"{shown(written)}, {'of no bench' if path.is_file() else 'no such file'}"
            expected = "a formula in the folder of its bench, as seen from this sheet"
            there = nearest_names(written, self._there())
            return Problems((line.problem("formula", found, expected, there),))
        if folder not in self._benches:
            self._benches[folder] = read_bench(folder)
        bench = self._benches[folder]
        if isinstance(bench, Problems):
            return _in_folder(bench, folder)
        if path not in self._formulas:
            self._formulas[path] = read_formula(path, bench)
        formula = self._formulas[path]
        return formula if isinstance(formula, Problems) else (bench, formula)

    def _there(self) -> Iterator[str]:
        for path in sorted(self._folder.glob("*/formulas/*")):
            yield path.relative_to(self._folder).as_posix()


def _in_folder(problems: Problems, folder: Path) -> Problems:
    """Problems in a bench, with the folder that it is in."""
    return Problems(
        tuple(
            Problem(Where(str(folder / one.where.file), one.where.place), *_rest(one))
            for one in problems.items
        )
    )


def _rest(problem: Problem) -> tuple[str, str, tuple[str, ...]]:
    return problem.found, problem.expected, problem.nearest


def _wanted(line: Line, opened: _Opened, problems: list[Problem]) -> Wanted | None:
    bars = _whole(line, "bars", MOST_BARS, problems)
    week = _whole(line, "week", MOST_WEEKS, problems) if line["week"] else 1
    fill = _figure(line, "fill", Dimension.MASS, problems) if line["fill"] else None
    if fill == 0.0:
        problems.append(line.problem("fill", shown(line["fill"]), "more than nothing"))
    if not line["formula"]:
        problems.append(line.problem("formula", "nothing", "the file of a formula"))
        return None
    found = opened.formula(line["formula"], line)
    if isinstance(found, Problems):
        problems += [one for one in found.items if one not in problems]
        return None
    if bars is None or week is None:
        return None
    bench, formula = found
    return Wanted(bench, formula, bars, week, fill, line.where)


def _price(line: Line, benches: tuple[Bench, ...], problems: list[Problem]) -> PriceFrom | None:
    week = _whole(line, "week", MOST_WEEKS, problems)
    rates = {bench.brief.currency: 1.0 for bench in benches}
    price = _figure(line, "price", Dimension.MONEY, problems, rates)
    pack = _figure(line, "pack", Dimension.MASS, problems) if line["pack"] else None
    known = [bench.names for bench in benches]
    name = next((own for names in known if (own := spelt(line["material"], names))), None)
    if name is None:
        near = nearest_names(line["material"], [each for names in known for each in names])
        found = shown(line["material"]) or "nothing"
        problems.append(line.problem("material", found, "a material on the shelf", near))
    elif not _offered(name, line["supplier"], pack, benches):
        found = f"no offer of {name} from {line['supplier'] or 'anyone'} in such a pack"
        problems.append(line.problem("supplier", found, "an offer on the shelf"))
    if name is None or week is None or price is None:
        return None
    return PriceFrom(name, line["supplier"], pack, week, price)


def _offered(name: str, supplier: str, pack: float | None, benches: tuple[Bench, ...]) -> bool:
    items = (item for bench in benches for item in bench.shelf if item.material.name == name)
    return any(
        (not supplier or folded(offer.supplier) == folded(supplier)) and pack in (None, offer.pack)
        for item in items
        for offer in item.offers
    )


def _whole(line: Line, column: str, most: int, problems: list[Problem]) -> int | None:
    text = line[column]
    if text.isascii() and text.isdigit() and 1 <= int(text) <= most:
        return int(text)
    expected = f"a whole number from 1 to {most}"
    problems.append(line.problem(column, shown(text) or "nothing", expected))
    return None


def _figure(
    line: Line,
    column: str,
    dimension: Dimension,
    problems: list[Problem],
    rates: dict[str, float] | None = None,
) -> float | None:
    read = parse(line[column], dimension, rates)
    if isinstance(read, Misread):
        problems.append(line.problem(column, read.found or "nothing", read.expected))
        return None
    return read
