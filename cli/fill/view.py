"""The fill weight on the screen and as JSON: what to press, why, and what a flat margin costs."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...workshop.fill.demand import Demand
from ...workshop.fill.fill import Fill
from ..kit.numbers import grams, money_sum, percent
from ..kit.one_screen import counted
from ..kit.screen import heading, paragraph, table

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

_STEP = 1e-5  # masses that no balance shows are given to 0.01 g [kg]

DEMANDS = {
    Demand.AVERAGE: "the bars of a batch hold the declared weight on average",
    Demand.FEW_SHORT: "few bars are short by more than the tolerable shortfall",
    Demand.NONE_FAR_SHORT: "no bar of a batch is far short",
}


def show_fill(console: "Console", bench: Bench, found: Fill, bars_a_year: int | None) -> None:
    """The whole answer of ``fill``."""
    for sentence in fill_sentences(bench, found):
        paragraph(console, sentence)
    console.print(_demands(found))
    heading(console, "Against a flat margin")
    for sentence in flat_sentences(bench, found, bars_a_year):
        paragraph(console, sentence)
    heading(console, "What it rests on")
    for sentence in _grounds(found):
        paragraph(console, sentence)


def fill_sentences(bench: Bench, found: Fill) -> Iterator[str]:
    """What to press, and on what terms."""
    portioning, spread = bench.brief.portioning, in_grams(found.spread.deviation)
    packed = " until it is packed" if portioning.dried_when_packed is not None else ""
    yield (
        f"{bench.brief.name}: press {in_grams(found.set_to)} a bar for "
        f"{in_grams(found.declared)} on the box ({found.market}), in batches of {found.bars}."
    )
    yield (
        f"It holds {percent(portioning.drying_until_declared)} of drying{packed} and portions that "
        f"differ by {spread} (standard deviation, {_where_from(found)}). "
        f"For each demand, at most {percent(found.risk)} of batches miss it."
    )
    if found.spread.weighings:
        few = "So few weighings leave" if found.spread.poorly_known else "They leave"
        yield (
            f"{few} the spread in doubt, which alone asks for {in_grams(found.for_doubt)} a bar: "
            "weigh more bars one by one and press less."
        )


def _where_from(found: Fill) -> str:
    count, batches = found.spread.weighings, found.spread.batches
    several = f" in {batches} batches" if batches > 1 else ""
    if not count:
        return "taken as known, as the brief says"
    return f"from {count} weighings{several}"


def _demands(found: Fill) -> "Table":
    made = table("what the market asks", "press at least", "", right=(1,))
    for demand, mass in found.needed.items():
        made.add_row(DEMANDS[demand], in_grams(mass), "decides" if demand is found.binding else "")
    return made


def flat_sentences(bench: Bench, found: Fill, bars_a_year: int | None) -> Iterator[str]:
    """A flat margin beside it, and what is given away in a year."""
    currency = bench.brief.currency
    source = found.flat_source.citation
    if found.flat_breaks:
        broken = "; ".join(DEMANDS[demand] for demand in found.flat_breaks)
        yield f"A flat margin would press {in_grams(found.flat)} ({source}). Too little: {broken}."
    else:
        yield (
            f"A flat margin would press {in_grams(found.flat)} ({source}), "
            f"{in_grams(found.saved_a_bar)} more than is needed."
        )
    yield f"What is pressed beyond weight and drying is {in_grams(found.given_away)} a bar."
    if found.given_away_a_year is None or found.saved_a_year is None:
        yield "To see what that costs, add --bars-a-year N, and --formula FILE or --cost PRICE."
        return
    given, saved = found.given_away_a_year, found.saved_a_year
    less = "less" if saved >= 0 else "more"
    yield (
        f"On {counted(bars_a_year or 0, 'bar')} a year that is {money_sum(given, currency)} of "
        "materials, "
        f"{money_sum(abs(saved), currency)} {less} than with the flat margin."
    )


def _grounds(found: Fill) -> Iterator[str]:
    yield f"{found.source.citation} ({found.source.kind})."
    short = in_grams(found.tolerable_shortfall)
    yield f"Tolerable shortfall of one bar: {short}. Note: {found.note}."
    yield found.caution


def in_grams(mass_kg: float) -> str:
    """A mass to a hundredth of a gram."""
    return f"{grams(mass_kg, _STEP)} g"
