"""Materials in one screen."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...constraints.model.material import Material
from ..kit.one_screen import columns, sentences, show_parts
from .view import show_materials

if TYPE_CHECKING:
    from rich.console import Console

FEW = 8
"""So many are shown as with --all: they fit."""


def show_short_materials(console: "Console", found: Sequence[Material]) -> None:
    """One in full where it fits, else a line for each, as many as there is room for."""
    if len(found) == 1:
        _show_one(console, found[0])
        return
    if len(found) <= FEW:
        show_materials(console, found)
        return
    most = max(len(material.name) for material in found)
    room = max(console.width - most - 4, 10)
    cells = [(one.name, _cut(", ".join(one.classes), room)) for one in found]
    parts = (
        sentences("", (f"{len(found)} materials; name one in full to see what is in it.",)),
        columns("", cells),
    )
    show_parts(console, parts, "More words show fewer; --all shows every one.")


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _show_one(console: "Console", one: Material) -> None:
    contents = [
        (inci, f"{span.typical:.2%}".replace("%", " %")) for inci, span in one.contents.items()
    ]
    dose = one.dose
    facts = (
        f"{one.name}: {one.form}, goes in with the {one.phase} phase",
        f"What it does: {', '.join(one.classes)}.",
        f"Usual share: {dose[0]:.2%} to {dose[1]:.2%}.".replace("%", " %") if dose else "",
        f"Goes in below {one.add_below:g} °C." if one.add_below is not None else "",
        f"Hazards: {', '.join(one.hazards)}." if one.hazards else "",
    )
    parts = (
        sentences("", facts, least=len(facts)),
        columns("What is in it", contents, right=(1,)),
    )
    show_parts(console, parts, "--all: ranges, tags, what is left of alkali in it, and the source.")
