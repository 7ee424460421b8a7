"""What is varied: read from options."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from ...constraints.bench.opening import read_price_history
from ...constraints.model.brief import Bench, Composition
from ...constraints.values.names import the_name
from ...constraints.values.problem import Problems, Where, refuse, refuse_all
from ...constraints.values.units import Dimension, Misread, parse
from ...solver.scenarios.question import Question
from ..kit.options import EVERY
from .limit_asked import limit_asked

USUAL, USUAL_OF_ROWS = 1000, 300
"""Scenarios where nothing is said: fewer where each has rows of its own, which takes longer."""


@dataclass(frozen=True, slots=True)
class Options:
    """What was said of what is varied, as it was written."""

    prices: Sequence[str]
    missing: Sequence[str]
    history: Path | None
    limits: Sequence[str]
    lots: Sequence[str]
    count: int | None
    seed: int


def question_of(bench: Bench, said: Options) -> Question:
    """The question that options ask.

    Raises:
        InputError: when one of them cannot be understood.
    """
    question = Question(
        1,
        prices=dict(one for text in said.prices for one in _range(bench, text)),
        history=() if said.history is None else read_price_history(said.history, bench),
        missing=dict(one for text in said.missing for one in _chances(bench, text)),
        seed=said.seed,
        limits=tuple(limit_asked(bench, text) for text in said.limits),
        lots=_lots(bench, said.lots),
    )
    _refuse_twice([(one.rule, one.side) for one in question.limits])
    if not question.draws and question.in_turn == 1 and not question.history:
        refuse(
            "sweep",
            "nothing that varies",
            '--prices "all=20%", --missing, --history, --limit or --lots all',
        )
    usual = USUAL_OF_ROWS if question.changes_rows else USUAL
    return question.asked(said.count or (usual if question.draws else question.in_turn))


def _refuse_twice(limits: Sequence[tuple[str, str]]) -> None:
    for rule, side in limits:
        if limits.count((rule, side)) > 1:
            refuse("--limit", f"the {side} limit of {rule} twice", "each limit once")


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


def _chances(bench: Bench, text: str) -> list[tuple[str, float]]:
    """``NAME=10%``, or ``all=10%`` for each by itself."""
    called, _, said = text.rpartition("=")
    every = called == EVERY
    names = bench.material_names if every else (_name(bench, "--missing", called, text),)
    chance = parse(said, Dimension.SHARE)
    if isinstance(chance, Misread) or not 0 < chance <= 1:
        refuse("--missing", text, '"NAME=10%": how often it cannot be had')
    return [(name, chance) for name in names]


def _lots(bench: Bench, said: Sequence[str]) -> tuple[str, ...]:
    """Materials of which other lots come, in shelf order."""
    if EVERY in said:
        return bench.material_names
    where, expected = Where("--lots"), "all, or a material on the shelf"
    named = {the_name(where, text, bench.names, expected) for text in said}
    return tuple(name for name in bench.material_names if name in named)


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
