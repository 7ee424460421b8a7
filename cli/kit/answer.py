"""An answer on stdout: for eyes, or as the one JSON document that was asked for."""

from typing import TYPE_CHECKING

import typer

from .options import Format
from .page_option import page_beside
from .table_option import table_beside

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from .page_option import View


def answered(
    command: str,
    shown: Format,
    form: "Callable[[], Mapping[str, object]]",
    view: "View",
    *,
    whole: bool = True,
) -> None:
    """Show an answer as it was asked for; only that way of showing it is worked out.

    Args:
        command: whose answer it is.
        shown: how it is asked for.
        form: makes the body of the JSON document.
        view: writes it to a screen or a page, all of it or what fits one screen.
        whole: whether all of it is asked for.
    """
    table_beside(command, form)
    if shown is Format.JSON:
        from .as_json import dumped

        typer.echo(dumped(command, form()))
    else:
        from .screen import stdout

        view(stdout(), whole)
    page_beside(command, view)  # last: drawing takes a moment, in which the answer can be read
