"""How a stock is used up, in one screen."""

from typing import TYPE_CHECKING

from ...solver.nearest.nearest import Near
from ...workshop.changing.comparison import compare
from ..change.short import DUE_AGAIN, due_part
from ..change.words import cost_sentence
from ..kit.one_screen import columns, sentences, shortened_all, show_parts
from ..kit.words import bar_name
from .view import made_of, mass, moves, refused_sentence, steps

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.bench.wish import Start
    from ...workshop.changing.runout import Runout

NAME = 40


def show_short_runout(console: "Console", start: "Start", plan: "Runout") -> None:
    """The steps, what to weigh differently, what it costs, and what to do again."""
    bench, formula = start.bench, start.formulas[0]
    bars = [("today", formula), *made_of(plan)]
    parts_of = [composition.parts for _, composition in bars]
    names = [one.material.name for one in bench.shelf if moves(parts_of, one.material.name)]
    short = shortened_all(names, NAME)
    cells = [("material", *(title for title, _ in bars))] + [
        (short[name], *(_mass(one.get(name, 0.0) * plan.batch) for one in parts_of))
        for name in names
    ]
    head = f"{bar_name(bench, formula.name, ': ')}, using up {plan.old}"
    numbered = [f"{number}. {said}" for number, said in enumerate(steps(plan), start=1)]
    parts = [
        sentences("", (head, *numbered, refused_sentence(plan)), least=4),
        columns(
            f"What changes in a batch of {mass(plan.batch)}",
            cells,
            right=range(1, len(bars) + 1),
            least=3,
            headed=True,
        ),
    ]
    if isinstance(plan.after, Near):
        comparison = compare(bench, formula, plan.after.composition, start.unpriced)
        cost = cost_sentence(comparison, bench.brief.currency)
        parts += [sentences("After the switch", (cost,)), due_part(comparison)]
    parts.append(sentences("Beware", (DUE_AGAIN,)))
    show_parts(console, parts, "--all: every material to weigh, and what the bars contain.")


def _mass(kilograms: float) -> str:
    return mass(kilograms) if kilograms > 0 else "none"
