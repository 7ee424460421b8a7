"""A batch as a page to print: one sheet of A4, black on white, with room for a pen."""

from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from ...constraints.market.caution import Moment
from ...constraints.model.brief import Bench
from ...constraints.model.material import Phase
from ...workshop.batch.lines import Addition, Batch
from ...workshop.fill.fill import Fill
from ..html.writing import as_written, written
from ..kit.numbers import amount
from ..kit.one_screen import counted
from ..kit.words import bowl_sentences
from .type_size import type_size
from .view import reading_cell
from .warmth import warmth_sentences
from .words import (
    MOMENTS,
    alone_sentences,
    below_cell,
    care,
    cautions_at,
    cost_sentence,
    marks,
    phase_title,
    portion_sentences,
    stirring_sentences,
    stock_sentences,
    weigh_cell,
    weighing_sentences,
    yield_sentence,
)

Cautions = tuple[tuple[str, str], ...]
"""The letter of each, empty where it is for all, and what it says."""


@dataclass(frozen=True, slots=True)
class SheetPart:
    """A heading with what is said under it and the cautions that belong there."""

    title: str
    sentences: tuple[str, ...]
    cautions: Cautions = ()


@dataclass(frozen=True, slots=True)
class SheetRow:
    """What is weighed of one material, each figure as it is written."""

    material: str
    weigh: str
    balance: str
    vessel: str
    below: str
    care: str


@dataclass(frozen=True, slots=True)
class SheetPhase:
    """What goes in together, what is said of it, and the cautions that belong there."""

    title: str
    sentences: tuple[str, ...]
    cautions: Cautions
    rows: tuple[SheetRow, ...]


def sheet_html(bench: Bench, batch: Batch, fill: Fill | None) -> str:
    """The sheet of a batch as an HTML document."""
    bars = counted(batch.bars, "bar")
    title = f"{bench.brief.name}: {bars}, {amount(batch.weighed.batch)} of mix"
    body = written(
        "sheet-body.html",
        formula=batch.name,
        before=_before(bench, batch),
        phases=tuple(_phases(bench, batch)),
        made=_made(bench, batch, fill),
        after=(_part("After", [], batch, Moment.AFTER),),
    )
    size = f"{type_size(escape(title), body):g}"
    return written("sheet.html", title=title, size=size, body=as_written(body))


def _before(bench: Bench, batch: Batch) -> tuple[SheetPart, ...]:
    short = [line for line in stock_sentences(bench, batch) if batch.short and line[:5] == "Short"]
    bowl = bowl_sentences(bench, batch.weighed.batch)
    weighing = " ".join([*bowl, *short, *weighing_sentences(bench, batch), *alone_sentences(batch)])
    return (
        _part("Before", [], batch, Moment.BEFORE),
        _part("Weighing", [weighing], batch, Moment.WEIGHING),
    )


def _made(bench: Bench, batch: Batch, fill: Fill | None) -> tuple[SheetPart, ...]:
    portions = " ".join(portion_sentences(bench, batch, fill))
    sold = f"{yield_sentence(bench, batch)} {cost_sentence(bench, batch)}"
    return (
        SheetPart("Temperatures", tuple(warmth_sentences(bench, batch))),
        SheetPart("Portions, yield and cost", (portions, sold)),
    )


def _part(title: str, sentences: Iterable[str], batch: Batch, moment: Moment) -> SheetPart:
    return SheetPart(title, tuple(sentences), tuple(cautions_at(batch, moment)))


def _phases(bench: Bench, batch: Batch) -> Iterable[SheetPhase]:
    for phase in Phase:
        additions = [one for one in batch.additions if one.phase is phase]
        if additions:
            yield SheetPhase(
                phase_title(phase, batch),
                tuple(stirring_sentences(batch, phase)),
                tuple(cautions_at(batch, MOMENTS[phase])),
                tuple(_row(bench, batch, one) for one in additions),
            )


def _row(bench: Bench, batch: Batch, addition: Addition) -> SheetRow:
    return SheetRow(
        material=addition.weight.material,
        weigh=weigh_cell(addition),
        balance=addition.weight.balance,
        vessel=reading_cell(bench, batch, addition),
        below=below_cell(addition, batch),
        care=care(addition, marks(batch)),
    )
