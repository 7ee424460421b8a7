"""Where output goes: findings to stdout, problems to stderr, nothing else to either."""

import sys
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from ..picture.canvas import Picture

NARROWEST = 40
"""No narrower: a figure broken over two lines would be read as two."""


def stdout() -> "Console":
    """The console for findings: plain words, no guesses at colour or markup."""
    from rich.console import Console

    console = Console(highlight=False, markup=False, emoji=False, soft_wrap=False)
    console.width = max(console.width, NARROWEST)
    return console


def table(*columns: str, right: Iterable[int] = (), title: str | None = None) -> "Table":
    """An empty table: a rule under its head and none around it.

    Args:
        columns: their heads.
        right: indices of the columns to set to the right, which then never wrap.
        title: a line above it.
    """
    from rich import box
    from rich.table import Table

    made = Table(
        box=box.SIMPLE_HEAD,
        show_edge=False,
        pad_edge=False,
        title=title,
        title_justify="left",
        title_style="bold",
    )
    rights = set(right)
    for index, head in enumerate(columns):
        made.add_column(
            head,
            justify="right" if index in rights else "left",
            no_wrap=index in rights,
            overflow="fold",
        )
    return made


def paragraph(console: "Console", text: str, indent: int = 0, hang: int = 0) -> None:
    """A sentence or two, folded to the width of the terminal under an indent.

    Lines after the first stand ``hang`` further in, as under the dash of a list.
    """
    import textwrap

    from .listening import listening

    page = listening(console)
    if page is not None:
        page.say(text, inset=indent > 0)
        return
    space = " " * indent
    folded = textwrap.fill(
        text,
        width=max(console.width, NARROWEST),
        initial_indent=space,
        subsequent_indent=space + " " * hang,
        break_on_hyphens=False,
    )
    console.print(folded, soft_wrap=True)


def heading(console: "Console", text: str) -> None:
    """A line that opens a part of the answer."""
    from rich.text import Text

    console.print()
    console.print(Text(text, style="bold"))


def ticked(console: "Console", made: "Table") -> None:
    """A table to go through line by line: a page has a box before each, to be ticked with a pen."""
    from .listening import listening

    page = listening(console)
    if page is None:
        console.print(made)
    else:
        page.tick(made)


def boxed(console: "Console", particulars: "Iterable[tuple[str, str]]") -> None:
    """What stands on a box: what each is, and its text, empty where the maker has to fill it in."""
    from .listening import listening

    page = listening(console)
    if page is not None:
        page.box(particulars)
        return
    for what, text in particulars:
        paragraph(console, f"{what}:" if text else f"{what}: yours to fill in")
        if text:
            paragraph(console, text, indent=3)


def on_screen(console: "Console", text: str) -> None:
    """What is said on a screen alone: where the rest is, or what the signs of a plot mean."""
    from .listening import listening

    if listening(console) is None:
        paragraph(console, text)


def picture(
    console: "Console", make: "Callable[[], Picture | None]", instead: Iterable[str] = ()
) -> None:
    """A picture where the console is a page; a terminal shows lines instead, or nothing.

    Args:
        console: where it is shown.
        make: what is drawn; asked for only where it is drawn.
        instead: lines of plain characters.
    """
    from .listening import listening

    page = listening(console)
    if page is not None:
        page.look(make)
        return
    for line in instead:
        console.print(line, soft_wrap=True)


def complain(lines: Iterable[str]) -> None:
    """Write lines to stderr."""
    sys.stderr.write("\n".join(lines) + "\n")
