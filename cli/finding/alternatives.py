"""Other compositions side by side with the cheapest."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench
from ...solver.cheapest.cheapest import Finding
from ...solver.choices.alternatives import Alternatives
from ..kit.numbers import in_unit, share
from ..kit.screen import heading, paragraph, table

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

ABREAST = 3
"""So many alternatives stand side by side."""


def show_alternatives(
    console: "Console", bench: Bench, finding: Finding, others: Alternatives
) -> None:
    """What could be made for little more, as different as it gets."""
    within = in_unit(others.within, "%")
    heading(console, f"What else could be made for at most {within} more")
    if not others.found:
        paragraph(console, _none(others))
        return
    for first in range(0, len(others.found), ABREAST):
        console.print(_abreast(bench, finding, others, first))
    paragraph(
        console,
        "“replaces” is how much of the cheapest bar is taken out and something else put in. Each"
        " keeps every rule. None is farther off, by the solver's word.",
    )
    if others.stopped:
        paragraph(console, "There may be more: the search ran out of time.")


def _none(others: Alternatives) -> str:
    if others.stopped:
        return "None was found before the search ran out of time."
    return "Nothing else: within that premium this is the only composition."


def _abreast(bench: Bench, finding: Finding, others: Alternatives, first: int) -> "Table":
    shown = others.found[first : first + ABREAST]
    heads = ["cheapest", *(f"no. {first + place + 1}" for place in range(len(shown)))]
    made = table("material", *heads, right=range(1, len(heads) + 1))
    columns = [finding.composition.parts, *(one.composition.parts for one in shown)]
    names = dict.fromkeys(name for parts in columns for name in _largest_first(dict(parts)))
    for name in names:
        made.add_row(name, *(_cell(parts.get(name)) for parts in columns))
    currency = bench.brief.currency
    costs = [finding.cost, *(one.cost for one in shown)]
    made.add_row(f"cost, {currency}/kg", *(f"{cost:.3f}" for cost in costs))
    made.add_row("replaces", "", *(share(one.apart) for one in shown))
    return made


def _largest_first(parts: dict[str, float]) -> list[str]:
    return sorted(parts, key=lambda name: (-parts[name], name))


def _cell(amount: float | None) -> str:
    return "–" if amount is None else share(amount)
