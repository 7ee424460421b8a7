"""A batch on the screen: in working order, with each caution where it belongs."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from ...constraints.market.caution import Moment
from ...constraints.model.brief import Bench
from ...constraints.model.material import Phase
from ...workshop.batch.lines import Addition, Batch
from ...workshop.fill.fill import Fill
from ..kit.numbers import amount, grams
from ..kit.one_screen import counted
from ..kit.screen import heading, paragraph, table
from ..kit.words import bar_name, bowl_sentences
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

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

WIDTH = 80  # a sheet is as wide as the narrowest terminal
WEIGH, VESSEL, BELOW, CARE, ON = "weigh g", "vessel g", "< °C", "care", "on"


def show_batch(console: "Console", bench: Bench, batch: Batch, fill: Fill | None) -> None:
    """The whole answer of ``batch``."""
    mix = amount(batch.weighed.batch)
    bars = counted(batch.bars, "bar")
    paragraph(console, f"{bar_name(bench, batch.name)}: {bars}, {mix} of mix")
    for sentence in bowl_sentences(bench, batch.weighed.batch):
        paragraph(console, sentence)
    _show_part(console, "Stock", stock_sentences(bench, batch))
    _show_part(console, "Before", (), batch, Moment.BEFORE)
    weighing = (*weighing_sentences(bench, batch), *alone_sentences(batch))
    _show_part(console, "Weighing", weighing, batch, Moment.WEIGHING)
    for phase in Phase:
        additions = [one for one in batch.additions if one.phase is phase]
        if additions:
            told = stirring_sentences(batch, phase)
            _show_part(console, phase_title(phase, batch), told, batch, MOMENTS[phase])
            console.print(phase_table(bench, batch, additions))
    _show_part(console, "Temperatures", warmth_sentences(bench, batch))
    _show_part(console, "Portions", portion_sentences(bench, batch, fill))
    _show_part(
        console, "Yield and cost", (yield_sentence(bench, batch), cost_sentence(bench, batch))
    )
    _show_part(console, "After", (), batch, Moment.AFTER)


def _show_part(
    console: "Console",
    title: str,
    sentences: Iterable[str],
    batch: Batch | None = None,
    moment: Moment | None = None,
) -> None:
    heading(console, title)
    for sentence in sentences:
        paragraph(console, sentence)
    cautions = cautions_at(batch, moment) if batch and moment else []
    for letter, text in cautions:
        paragraph(console, f"{letter or '!'}  {text}", indent=1, hang=3)


def phase_table(bench: Bench, batch: Batch, additions: list[Addition]) -> "Table":
    """What goes in during a phase, in columns alike from phase to phase."""
    widths = _widths(batch)
    made = table(*widths, right=(1, 2, 3))
    letters = marks(batch)
    for one in additions:
        cells = {
            WEIGH: weigh_cell(one),
            VESSEL: reading_cell(bench, batch, one),
            BELOW: below_cell(one, batch),
            CARE: care(one, letters),
            ON: one.weight.balance,
        }
        shown = [cells.get(name, "") for name in widths]
        made.add_row(one.weight.material, *shown[1:-2], "___", "______")
    for column, width in zip(made.columns, widths.values(), strict=True):
        column.width = width
    return made


def _widths(batch: Batch) -> dict[str, int]:
    """Head and width of each column; the balance is left out where it is one for all."""
    weigh = max(7, *(len(weigh_cell(one)) for one in batch.additions))
    on = max(len(one.weight.balance) for one in batch.additions)
    several = len({one.weight.balance for one in batch.additions}) > 1
    rest = {WEIGH: min(weigh, 16), VESSEL: 8, BELOW: 4, CARE: 5}
    rest |= {ON: min(on, 8)} if several else {}
    rest |= {"by": 3, "lot": 6}
    borders = 3 * (len(rest) + 1) - 1
    return {"material": WIDTH - sum(rest.values()) - borders, **rest}


def reading_cell(bench: Bench, batch: Batch, addition: Addition) -> str:
    """What the vessel's balance shows, or without one what is in the vessel."""
    steps = {balance.name: balance.step for balance in bench.brief.balances}
    if addition.reading is None or batch.vessel_balance is None:
        return grams(addition.running, min(steps.values()))
    return grams(addition.reading, steps[batch.vessel_balance])
