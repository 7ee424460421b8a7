"""An answer on stdout: for eyes, as the one JSON document that was asked for, or as lines."""

from functools import cache
from typing import TYPE_CHECKING

import typer

from .page_option import page_beside
from .table_option import table_beside

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from enum import StrEnum

    from .page_option import View


def answered(
    command: str,
    shown: "StrEnum",
    form: "Callable[[], Mapping[str, object]]",
    view: "View",
    *,
    whole: bool = True,
    lines: "Callable[[], str] | None" = None,
) -> None:
    """Show an answer as it was asked for; only that way of showing it is worked out, and once.

    Args:
        command: whose answer it is.
        shown: how it is asked for: table, json, or csv where it gives lines.
        form: makes the body of the JSON document.
        view: writes it to a screen or a page, all of it or what fits one screen.
        whole: whether all of it is asked for.
        lines: makes comma-separated lines, where there are such.
    """
    body = cache(form)
    table_beside(command, body)
    if shown == "json":
        from .as_json import dumped

        typer.echo(dumped(command, body()))
    elif shown == "csv" and lines is not None:
        typer.echo(lines(), nl=False)
    else:
        from .screen import stdout

        view(stdout(), whole)
    page_beside(command, view)  # last: drawing takes a moment, in which the answer can be read
