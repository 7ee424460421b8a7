"""``barwright materials``: look up raw materials in the catalogue."""

from typing import Annotated

import typer

from ...constraints.values.problem import refuse
from ..kit.answer import answered
from ..kit.options import All, Format, Shown


def command(
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="[WORDS]", help="Words to look for.", show_default=False),
    ] = None,
    *,
    everything: All = False,
    shown: Shown = Format.TABLE,
) -> None:
    """List the catalogue's materials, those that match all WORDS, or one in full.

    A word may stand in a name, a class, a tag or a substance the material contains.
    """
    from ...constraints.catalogue.catalogue import matching, material_names
    from ...constraints.values.names import nearest_names
    from .as_json import materials_form
    from .short import show_short_materials
    from .view import show_materials

    found = matching(words or ())
    if not found:
        name = " ".join(words or ())
        near = nearest_names(name, material_names())
        refuse("WORDS", name, "words of a material of the catalogue", near)
    answered(
        "materials",
        shown,
        lambda: materials_form(found),
        lambda console, whole: (show_materials if whole else show_short_materials)(console, found),
        whole=everything,
    )
