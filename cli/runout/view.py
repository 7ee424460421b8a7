"""How a stock is used up, on the screen and as JSON."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ...solver.cheapest.cheapest import Refusal
from ...solver.nearest.distance import TOUCHED, Stage, counted
from ...solver.nearest.nearest import Near
from ...solver.program.outcome import Stopped
from ...workshop.changing.comparison import compare
from ..change.view import show_due
from ..change.words import cost_sentence, listed
from ..kit.numbers import share
from ..kit.screen import heading, paragraph, picture, table
from ..kit.words import bar_name
from ..picture.pairs import Pair, Pairs

if TYPE_CHECKING:
    from rich.console import Console

    from ...constraints.bench.wish import Start
    from ...constraints.model.brief import Bench, Composition
    from ...workshop.changing.runout import Runout


AFTER = "after it"
"""The formula from the switch on, as its column is headed."""


def show_runout(console: "Console", start: "Start", plan: "Runout") -> None:
    """The whole answer of ``runout``."""
    bench, formula = start.bench, start.formulas[0]
    paragraph(console, f"{bar_name(bench, formula.name, ': ')}, using up {plan.old}")
    for number, sentence in enumerate(steps(plan), start=1):
        paragraph(console, f"{number}. {sentence}")
    columns = [("today", formula), *made_of(plan)]
    heading(console, f"Weigh for a batch of {mass(plan.batch)}")
    _show_masses(console, bench, columns, plan.batch)
    heading(console, "What the bars contain")
    _show_classes(console, bench, columns)
    refused = refused_sentence(plan)
    if refused:
        paragraph(console, refused)
    if isinstance(plan.after, Near):
        comparison = compare(bench, formula, plan.after.composition, start.unpriced)
        paragraph(console, f"After the switch: {cost_sentence(comparison, bench.brief.currency)}")
        show_due(console, comparison)


def steps(plan: "Runout") -> list[str]:
    """What to do, in order."""
    batches = "batch" if plan.whole == 1 else "batches"
    whole = (
        f"The {mass(plan.stock)} in stock make {plan.whole} whole {batches} of "
        f"{mass(plan.batch)} as today, with {mass(plan.each)} of it in each."
    )
    return [whole, _rest_step(plan), "From then on, make every batch without it."]


def _rest_step(plan: "Runout") -> str:
    if plan.rest <= 0:
        return "Nothing is left over: no mixed batch is needed."
    if not plan.weighable:
        return f"{mass(plan.rest)} are left, too little for any balance of the brief to weigh."
    if isinstance(plan.mixed, Refusal) and isinstance(plan.mixed.outcome, Stopped):
        return f"{mass(plan.rest)} are left; whether a batch takes all of it was not settled."
    if isinstance(plan.mixed, Refusal):
        return f"{mass(plan.rest)} are left, but no batch with all of it keeps every rule."
    return f"Make one batch with the last {mass(plan.rest)} of it, mixed as below."


def made_of(plan: "Runout") -> list[tuple[str, "Composition"]]:
    """The formulas that can be made, each with a head for its column."""
    named = (("mixed batch", plan.mixed), (AFTER, plan.after))
    return [(name, found.composition) for name, found in named if isinstance(found, Near)]


def _show_masses(
    console: "Console",
    bench: "Bench",
    columns: Sequence[tuple[str, "Composition"]],
    batch: float,
) -> None:
    made = table("material", *(name for name, _ in columns), right=range(1, len(columns) + 1))
    parts = [composition.parts for _, composition in columns]
    names = [item.material.name for item in bench.shelf]
    used = [name for name in names if any(one.get(name) for one in parts)]
    for name in sorted(used, key=lambda name: (not moves(parts, name), -_most(parts, name))):
        shares = (one.get(name, 0.0) for one in parts)
        made.add_row(name, *(mass(amount * batch) if amount else "–" for amount in shares))
    console.print(made)
    picture(console, lambda: _switch_picture(parts, used, batch, columns))


def _switch_picture(
    parts: Sequence[Mapping[str, float]],
    used: Sequence[str],
    batch: float,
    columns: Sequence[tuple[str, "Composition"]],
) -> Pairs | None:
    """What a batch takes today and after the switch; ``None`` where there is no such bar."""
    today, after = parts[0], parts[-1]
    moved = [name for name in used if abs(today.get(name, 0.0) - after.get(name, 0.0)) > TOUCHED]
    if columns[-1][0] != AFTER or not moved:
        return None
    pairs = (_pair(name, today.get(name, 0.0), after.get(name, 0.0), batch) for name in moved)
    said = "What a batch takes of each material that changes, before the switch and after it."
    return Pairs("Before and after the switch", said, "material", tuple(pairs))


def _pair(name: str, before: float, after: float, batch: float) -> Pair:
    sign = "+" if after > before else "−"
    said = (mass(before * batch), mass(after * batch), f"{sign}{mass(abs(after - before) * batch)}")
    return Pair(name, before, after, said)


def moves(parts: Sequence[Mapping[str, float]], name: str) -> bool:
    """Whether some of these formulas hold more of a material than others."""
    shares = [one.get(name, 0.0) for one in parts]
    return max(shares) - min(shares) > TOUCHED


def _most(parts: Sequence[Mapping[str, float]], name: str) -> float:
    return max(one.get(name, 0.0) for one in parts)


def _show_classes(
    console: "Console", bench: "Bench", columns: Sequence[tuple[str, "Composition"]]
) -> None:
    made = table("class", *(name for name, _ in columns), right=range(1, len(columns) + 1))
    contents = [counted(bench, composition, Stage.CLASS) for _, composition in columns]
    words = dict.fromkeys(word for one in contents for word in one)
    for word in sorted(words, key=lambda word: -max(one.get(word, 0.0) for one in contents)):
        made.add_row(word, *(share(one.get(word, 0.0)) for one in contents))
    console.print(made)


def refused_sentence(plan: "Runout") -> str:
    """Which of the two formulas was not found and why; empty where both were."""
    asked = (("mixed batch", plan.mixed), ("bar after it", plan.after))
    refused = [(name, one.outcome) for name, one in asked if isinstance(one, Refusal)]
    failed = [name for name, outcome in refused if not isinstance(outcome, Stopped)]
    said = [
        f"The {name} was not settled: {outcome.reason}."
        for name, outcome in refused
        if isinstance(outcome, Stopped)
    ]
    if failed:
        said.append(
            f"No {listed(failed)} keeps every rule with what is on the shelf; replace with "
            "--without shows why, and what to look for."
        )
    return " ".join(said)


def mass(kilograms: float) -> str:
    """A mass as it is weighed: kilograms from 1 kg on, grams below.

    >>> mass(5.0), mass(0.04225)
    ('5.000 kg', '42.25 g')
    """
    return f"{kilograms:.3f} kg" if kilograms >= 1 else f"{kilograms * 1000:.2f} g"
