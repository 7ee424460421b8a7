"""What many scenarios come to, on the screen."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ..kit.one_screen import Part, columns, sentences, show_parts
from ..kit.screen import heading, paragraph, picture, table
from .pictures import costs_picture, limit_picture, standings_picture
from .tables import Cells, cost_rows, standing_rows, stretch_rows, switch_rows
from .words import KNOWING, NO_BARGAIN, OVERLAP, label_of, said_of

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from ...constraints.model.brief import Bench
    from ...solver.scenarios.along import Along
    from ...solver.scenarios.formulas import HeldFormula
    from ...solver.scenarios.summary import Summary

REST = "--all: every material, with its shares and prices."


def show_short_summary(
    console: "Console",
    bench: "Bench",
    found: "Summary",
    many: "tuple[HeldFormula, ...]" = (),
) -> None:
    """Costs, what holding today's formula costs, and who comes and goes."""
    from .formulas import formulas_part

    parts = [
        sentences("", said_of(bench, found, whole=False), least=4),
        columns("", list(cost_rows(found, bench.brief.currency)), range(1, 4), 6, headed=True),
        *(one for along in found.along for one in _along_parts(bench, along)),
        *_standing_parts(bench, found),
    ]
    if many:
        parts.append(formulas_part(bench, many))
    show_parts(console, parts, REST)


def _along_parts(bench: "Bench", along: "Along") -> Iterator[Part]:
    cells = list(stretch_rows(bench, along))
    yield columns(f"Along the {label_of(along)}", cells, range(1, 6), len(cells), headed=True)
    if along.switches:
        rows = list(switch_rows(bench, along, fold=False))
        yield columns(f"At which {label_of(along)} to switch", rows, (1, 2), 2, headed=True)


def _standing_parts(bench: "Bench", found: "Summary") -> Iterator[Part]:
    moving = [one for one in found.standings if one.used < 1.0]
    if moving:
        rows = list(standing_rows(moving, bench.brief.currency, fold=False))
        yield columns("Who comes and goes", rows, range(1, 5), 2, headed=True)


def show_summary(
    console: "Console",
    bench: "Bench",
    found: "Summary",
    many: "tuple[HeldFormula, ...]" = (),
) -> None:
    """The same with every material, and as pictures."""
    from .formulas import show_formulas

    currency = bench.brief.currency
    for sentence in said_of(bench, found, whole=True):
        paragraph(console, sentence)
    console.print(_table(cost_rows(found, currency)))
    if found.breaks:
        paragraph(console, NO_BARGAIN)
    picture(console, lambda: costs_picture(found, currency))
    for along in found.along:
        _show_along(console, bench, along)
    heading(console, "Who is in")
    console.print(_table(standing_rows(found.standings, currency, fold=True)))
    picture(console, lambda: standings_picture(found.standings))
    if any(one.out_from is not None for one in found.standings):
        paragraph(console, OVERLAP)
    if found.lots:
        paragraph(console, KNOWING)
    if many:
        show_formulas(console, bench, many)


def _show_along(console: "Console", bench: "Bench", along: "Along") -> None:
    heading(console, f"Along the {label_of(along)}")
    console.print(_table(stretch_rows(bench, along)))
    picture(console, lambda: limit_picture(bench, along))
    if along.switches:
        heading(console, f"At which {label_of(along)} to switch")
        console.print(_table(switch_rows(bench, along, fold=True)))


def _table(rows: "Iterator[Cells]") -> "Table":
    heads = next(rows)
    made = table(*heads, right=range(1, len(heads)))
    for row in rows:
        made.add_row(*row)
    return made
