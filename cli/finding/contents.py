"""What is in a bar, substance by substance and class by class."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...constraints.model.contents import contents_of
from ..kit.numbers import share
from ..kit.screen import heading, paragraph

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from rich.console import Console

    from ...constraints.model.brief import Bench, Composition


SHOWN_CLASSES = 15


def show_contents(console: Console, bench: Bench, composition: Composition) -> None:
    """What the bar contains, by class and by substance."""
    heading(console, "What it contains")
    contents = contents_of(bench, composition)
    substances = sorted(contents.items(), key=lambda entry: (-entry[1], entry[0]))
    classes = classes_of(bench, contents)
    said = listed(classes[:SHOWN_CLASSES])
    paragraph(console, f"By class: {said}{' …' if len(classes) > SHOWN_CLASSES else '.'}")
    paragraph(console, f"By substance: {listed(substances)}.")


def listed(entries: Sequence[tuple[str, float]]) -> str:
    """Names and shares in a row, each share kept on one line with its unit."""
    said = (f"{name} {share(amount)}" for name, amount in entries)
    return " · ".join(said).replace(" %", "\u00a0%")


def classes_of(bench: Bench, contents: Mapping[str, float]) -> list[tuple[str, float]]:
    """Class totals of a composition [kg/kg], largest first."""
    totals: dict[str, float] = {}
    for inci, amount in contents.items():
        for name in bench.substances[inci].classes:
            totals[name] = totals.get(name, 0.0) + amount
    return sorted(totals.items(), key=lambda entry: (-entry[1], entry[0]))
