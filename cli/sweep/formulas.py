"""What scenarios do to formulas that are held, on the screen and as JSON."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ..kit.one_screen import shortened_all
from ..kit.screen import heading, table

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.model.brief import Bench
    from ...solver.scenarios.formulas import HeldFormula

FEW = 5
"""Formulas that one screen names, the cheapest first."""

NAMED = 34


def show_formulas(
    console: "Console", bench: "Bench", found: "Sequence[HeldFormula]", *, whole: bool
) -> None:
    """Formulas by what they cost in the middle of the scenarios."""
    heading(console, "Formulas held")
    ranked = sorted(found, key=lambda one: one.costs[2] if one.costs else float("inf"))
    some = ranked if whole else ranked[:FEW]
    called = shortened_all([one.formula for one in some], NAMED)
    made = table(
        f"{bench.brief.currency}/kg of mix", "lowest", "middle", "highest", "cannot be made",
        right=range(1, 5),
    )  # fmt: skip
    for one in some:
        figures = [f"{one.costs[at]:.3f}" if one.costs else "–" for at in (0, 2, 4)]
        made.add_row(one.formula if whole else called[one.formula], *figures, f"{one.unmade:,}")
    console.print(made)


def formulas_form(found: "Sequence[HeldFormula]") -> Mapping[str, object]:
    """The same as JSON; nothing where none were asked for."""
    if not found:
        return {}
    return {
        "formulas": [
            {"formula": one.formula, "costs": list(one.costs), "cannot_be_made": one.unmade}
            for one in found
        ]
    }
