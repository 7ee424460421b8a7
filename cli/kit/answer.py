"""An answer on stdout: for eyes, or as the one JSON document that was asked for."""

from typing import TYPE_CHECKING

import typer

from .options import Format
from .table_option import table_beside

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from rich.console import Console


def answered(
    command: str,
    shown: Format,
    form: "Callable[[], Mapping[str, object]]",
    view: "Callable[[Console], None]",
) -> None:
    """Show an answer as it was asked for; only that way of showing it is worked out.

    Args:
        command: whose answer it is.
        shown: how it is asked for.
        form: makes the body of the JSON document.
        view: writes it to the screen.
    """
    table_beside(command, form)
    if shown is Format.JSON:
        from .as_json import dumped

        typer.echo(dumped(command, form()))
        return
    from .screen import stdout

    view(stdout())
