"""A batch in one screen: what to weigh, in working order."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...constraints.model.material import Phase
from ...workshop.batch.lines import Batch
from ...workshop.fill.fill import Fill
from ..kit.numbers import amount, grams
from ..kit.one_screen import (
    Part,
    counted,
    half_of,
    in_columns,
    rows,
    sentences,
    shortened_all,
    show_parts,
)
from ..kit.words import bar_name, bowl_sentences
from ..sheet.words import (
    cost_sentence,
    phase_title,
    stock_sentences,
    weigh_cell,
)

if TYPE_CHECKING:
    from rich.console import Console


def show_short_batch(console: "Console", bench: Bench, batch: Batch, fill: Fill | None) -> None:
    """Weights phase by phase, what to press, what it costs, and that cautions belong to it."""
    mix = amount(batch.weighed.batch)
    bars = counted(batch.bars, "bar")
    head = f"{bar_name(bench, batch.name)}: {bars}, {mix} of mix"
    short = [*bowl_sentences(bench, batch.weighed.batch), *_short(bench, batch)]
    parts = (
        sentences("", (head, *short), least=1 + len(short)),
        *_phases(batch, console.width),
        sentences("Then", _then(bench, batch, fill), least=2),
        sentences("Beware", _beware(batch)),
    )
    show_parts(console, parts, "--all: the sheet for the bench; --html FILE prints it.")


def _phases(batch: Batch, width: int) -> Iterator[Part]:
    cells = [weigh_cell(one) for one in batch.additions]
    wide = max(map(len, cells))
    names = [one.weight.material for one in batch.additions]
    short = shortened_all(names, half_of(width) - wide - len(" g "))
    for phase in Phase:
        entries = [
            f"{weigh_cell(one):>{wide}} g {short[one.weight.material]}"
            for one in batch.additions
            if one.phase is phase
        ]
        if entries:
            made = in_columns(entries, width)
            title = phase_title(phase, batch).replace("see Temperatures", "see --all")
            yield rows(title, made, least=len(made))


def _then(bench: Bench, batch: Batch, fill: Fill | None) -> Iterator[str]:
    if batch.broken:
        yield f"As weighed it misses {', '.join(batch.broken)}: read the pH before pressing."
    why = "" if fill is None else f" for {amount(fill.declared)} on the box"
    step = next(one.step for one in bench.brief.balances if one.name == batch.portions.balance)
    yield f"Press each bar at {grams(batch.portions.fill, step)} g{why}."
    yield cost_sentence(bench, batch).partition(";")[0].rstrip(".") + "."


def _short(bench: Bench, batch: Batch) -> list[str]:
    return list(stock_sentences(bench, batch))[: len(batch.short)]


def _beware(batch: Batch) -> Iterator[str]:
    count = len(batch.cautions)
    belong = "belongs" if count == 1 else "belong"
    yield (
        f"{counted(count, 'caution')} {belong} to this batch: read them (--all) before you begin. "
        "Mask, goggles and gloves for powders; hot melt burns."
    )
