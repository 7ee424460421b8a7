"""What scenarios do to formulas that are held, on the screen and as JSON."""

from collections.abc import Mapping, Sequence
from math import inf
from typing import TYPE_CHECKING

from ..kit.one_screen import Part, columns, shortened_all
from ..kit.screen import heading, table
from .tables import low_middle_high

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.model.brief import Bench
    from ...solver.scenarios.formulas import HeldFormula

FEW = 5
"""Formulas that one screen names, the cheapest first."""

NAMED = 24

COUNTED = ("unmade", "breaks a rule")
"""Scenarios in which it cannot be made, or can be and keeps not every rule."""


def formulas_part(bench: "Bench", found: "Sequence[HeldFormula]") -> Part:
    """The cheapest of the formulas, by what they cost in the middle of the scenarios."""
    some = _ranked(found)[:FEW]
    called = shortened_all([one.formula for one in some], NAMED)
    rows = [_heads(bench), *(_row(one, called[one.formula]) for one in some)]
    return columns("Formulas held", rows, range(1, 6), 2, headed=True)


def show_formulas(console: "Console", bench: "Bench", found: "Sequence[HeldFormula]") -> None:
    """Every formula by what it costs in the middle of the scenarios."""
    heading(console, "Formulas held")
    made = table(*_heads(bench), right=range(1, 6))
    for one in _ranked(found):
        made.add_row(*_row(one, one.formula))
    console.print(made)


def _ranked(found: "Sequence[HeldFormula]") -> "list[HeldFormula]":
    return sorted(found, key=lambda one: one.costs[2] if one.costs else inf)


def _heads(bench: "Bench") -> tuple[str, ...]:
    return (f"{bench.brief.currency}/kg of mix", "lowest", "middle", "highest", *COUNTED)


def _row(one: "HeldFormula", name: str) -> tuple[str, ...]:
    return (name, *low_middle_high(one.costs), f"{one.unmade:,}", f"{one.breaks:,}")


def formulas_form(found: "Sequence[HeldFormula]") -> Mapping[str, object]:
    """The same as JSON; nothing where none were asked for."""
    if not found:
        return {}
    return {
        "formulas": [
            {
                "formula": one.formula,
                "costs": list(one.costs),
                "cannot_be_made": one.unmade,
                "breaks_a_rule": one.breaks,
            }
            for one in found
        ]
    }
