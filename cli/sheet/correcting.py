"""What to add to a batch that reads otherwise: a table, a sentence, and as JSON."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ...constraints.acidity.adjusting import Obstacle
from ..kit.numbers import amount
from ..kit.screen import heading, paragraph, table

if TYPE_CHECKING:
    from rich.console import Console

    from ...workshop.acid.correcting import Corrected

MIND = (
    "Add it in two or three parts, stir it in, and read again after each: the prediction takes what"
    " the reading shows for a strong base or acid. Weigh what is too little for the balance as a"
    " 10 % solution, ten times as much of it. A predicted pH never replaces a measured one."
    " Acids and bases irritate; wear gloves and goggles and follow their safety data sheets."
)


def show_corrections(console: "Console", found: "Sequence[Corrected]") -> None:
    """The table of a batch sheet; nothing where no lot asks for a correction."""
    if not found:
        return
    heading(console, "If it reads otherwise")
    made = table("it reads pH", f"add {found[0].material}", "then about pH", "breaks")
    for one in found:
        made.add_row(
            f"{one.reads:.1f}",
            "none will do" if one.amount is None else amount(one.amount),
            "–" if one.ph is None else f"{one.ph:.2f}",
            one.limited_by or "",
        )
    console.print(made)
    paragraph(console, MIND)


def show_correction(console: "Console", one: "Corrected", batch: float) -> None:
    """The answer for one reading."""
    paragraph(console, f"{amount(batch)} of mix that reads pH {one.reads:.2f}: {_said(one)}")
    if one.amount != 0.0:
        paragraph(console, MIND)


def _said(one: "Corrected") -> str:
    if one.amount == 0.0:
        return "it is in its band, add nothing."
    if one.amount is None:
        why = "pulls the other way" if one.obstacle is Obstacle.AWAY else "is too weak"
        return f"{one.material} {why}; no amount of it will do."
    said = f"add {amount(one.amount)} of {one.material}; it then has about pH {one.ph:.2f}."
    if one.limited_by is None:
        return said
    return (
        f'{said} So much thins the rest until "{one.limited_by}" breaks; {amount(one.room or 0.0)}'
        " breaks nothing. A composition by cheapest --sure leaves room for it."
    )


def correction_form(one: "Corrected") -> Mapping[str, object]:
    """One line as JSON."""
    return {
        "reads": one.reads,
        "material": one.material,
        "amount": one.amount,
        "ph": one.ph,
        "obstacle": one.obstacle,
        "limited_by": one.limited_by,
        "room": one.room,
    }
