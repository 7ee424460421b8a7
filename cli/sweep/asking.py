"""What is varied: read from options."""

from collections.abc import Sequence
from pathlib import Path

from ...constraints.bench.opening import read_price_history
from ...constraints.model.brief import Bench, Composition
from ...constraints.values.names import the_name
from ...constraints.values.problem import Problems, Where, refuse, refuse_all
from ...constraints.values.units import Dimension, Misread, parse
from ...solver.scenarios.question import Question

EVERY = "all"


def question_of(
    bench: Bench,
    *,
    count: int | None,
    prices: Sequence[str],
    missing: Sequence[str],
    history: Path | None,
    seed: int,
) -> Question:
    """The question that options ask.

    Raises:
        InputError: when one of them cannot be understood.
    """
    noted = () if history is None else read_price_history(history, bench)
    ranges = dict(one for text in prices for one in _range(bench, text))
    chances = dict(_chance(bench, text) for text in missing)
    if not noted and not ranges and not chances:
        refuse("sweep", "nothing that varies", '--prices "all=20%", --missing or --history')
    usual = len(noted) if noted and not ranges and not chances else 1000
    return Question(count or usual, ranges, noted, chances, seed)


def _range(bench: Bench, text: str) -> list[tuple[str, tuple[float, float]]]:
    """``NAME=20%`` around today's price, ``NAME=9..14`` in money a kilogram, ``all=20%``."""
    called, _, said = text.rpartition("=")
    apart = parse(said, Dimension.SHARE)
    if called == EVERY and not isinstance(apart, Misread) and 0 < apart < 1:
        return [(item.material.name, _around(item.price, apart)) for item in bench.shelf]
    name = _name(bench, "--prices", called, text)
    if not isinstance(apart, Misread) and 0 < apart < 1:
        return [(name, _around(bench.item(name).price, apart))]
    low, _, high = said.partition("..")
    try:
        ends = float(low), float(high)
    except ValueError:
        ends = (0.0, 0.0)
    if not 0 < ends[0] < ends[1] < 1e9:
        refuse("--prices", text, '"NAME=20%" or "NAME=9..14" in money for a kilogram')
    return [(name, ends)]


def _around(price: float, apart: float) -> tuple[float, float]:
    return price * (1.0 - apart), price * (1.0 + apart)


def _chance(bench: Bench, text: str) -> tuple[str, float]:
    called, _, said = text.rpartition("=")
    name = _name(bench, "--missing", called, text)
    chance = parse(said, Dimension.SHARE)
    if isinstance(chance, Misread) or not 0 < chance <= 1:
        refuse("--missing", text, '"NAME=10%": how often it cannot be had')
    return name, chance


def _name(bench: Bench, option: str, called: str, text: str) -> str:
    if not called:
        refuse(option, text, 'the name of a material and what is said of it, as "NAME=20%"')
    return the_name(Where(option), called, bench.names, "a material on the shelf")


def formulas_in(folder: Path, bench: Bench) -> tuple[Composition, ...]:
    """Every formula in a folder.

    Raises:
        InputError: when one of them cannot be read, or there is none.
    """
    from ...constraints.bench.reading import read_formula

    files = sorted(folder.iterdir()) if folder.is_dir() else []
    read = [read_formula(one, bench) for one in files if one.suffix in {".toml", ".csv", ".xlsx"}]
    refuse_all(problem for one in read if isinstance(one, Problems) for problem in one.items)
    found = tuple(one for one in read if not isinstance(one, Problems))
    if not found:
        refuse(str(folder), "no formulas", "a folder of formulas, .toml, .csv or .xlsx")
    return found
