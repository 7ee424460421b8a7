"""``--page FILE`` beside every command that shows something: the same answer to look at."""

from collections.abc import Callable
from contextvars import ContextVar
from datetime import date
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.problem import refuse
from .beside import Beside, Target, refuse_what_is_there

if TYPE_CHECKING:
    from rich.console import Console

    from ..html.model import Link, Page, Section, Sentence

WITHOUT = frozenset({"new", "page", "schema"})
"""Commands that show nothing to look at, or write pages of their own."""

TITLES = {
    "cheapest": "The cheapest composition",
    "curve": "What a limit or a price costs",
    "sweep": "Many prices and shelves",
    "verify": "A proof, checked",
    "check": "Judged by every rule",
    "compare": "Side by side",
    "replace": "The formula, changed",
    "runout": "Using up a material",
    "materials": "Raw materials",
    "acidity": "Its acidity",
    "batch": "A batch to weigh out",
    "fill": "How much to press",
    "label": "The box",
    "price": "What a bar costs",
    "plan": "What to buy and to make",
    "book": "The book of batches",
}
"""What the page of each command is called."""

BEHIND: ContextVar["Link | None"] = ContextVar("behind", default=None)
"""The page that leads to those that are written, where there is one."""

LAST: ContextVar["Page | None"] = ContextVar("last", default=None)
"""The page that was written last, for whoever writes many."""

_ENDINGS = {".html", ".htm"}
_OPTION = Annotated[
    Path | None,
    typer.Option("--page", metavar="FILE", help="Also write a page to look at or print, .html."),
]
View = Callable[["Console", bool], None]


def refuse_without_library(option: str) -> None:
    """Turn down what only the extra can make, where it is not installed.

    Raises:
        InputError: which says what to install.
    """
    from ..picture.canvas import can_draw

    if not can_draw():
        refuse(option, "no library that draws pictures", "pip install 'barwright[page]'")


def _check(asked: Target) -> None:
    """Turn down a file that cannot be written before anything is worked out."""
    if asked.path.suffix.casefold() not in _ENDINGS:
        refuse("--page", str(asked.path), "a name that ends in .html")
    refuse_without_library("--page")
    refuse_what_is_there(asked)


PAGE = Beside("page", _OPTION, _check, ContextVar("page", default=None))


def page_beside(command: str, view: View) -> None:
    """Write an answer as a page where the command line asks for it; else do nothing.

    Args:
        command: whose answer it is.
        view: shows it on a console, in short or all of it.

    Raises:
        InputError: when something is in the way.
    """
    asked = PAGE.asked.get()
    if asked is None:
        return
    from ..html.writing import page_html
    from .writing import put

    page = page_of(command, view)
    put(asked.path, page_html(page), overwrite=asked.overwrite)
    LAST.set(page)


def page_of(command: str, view: View) -> "Page":
    """The page of an answer: what matters first, then pictures, then all there is to say."""
    from ..html.model import Page, placed
    from .listening import Listening

    brief, full = Listening("brief"), Listening("picture")
    view(brief, False)
    view(full, True)
    lead, rest = _parted(brief.sections())
    whole, drawn = full.sections(), {one.title for one in full.pictures}
    if not full.pictures and whole == brief.sections():
        whole = ()
    return Page(
        title=TITLES[command],
        about=_about(lead),
        lead=lead,
        brief=rest,
        pictures=(*full.pictures, *(one for one in brief.pictures if one.title not in drawn)),
        full=placed(whole),
        footer=made_by(),
        back=BEHIND.get(),
    )


def made_by() -> str:
    """When a page was made, and by which version."""
    today = date.today()  # noqa: DTZ011  (a day of the maker's calendar)
    return f"Made {today.isoformat()} by barwright {version('barwright')}."


def _parted(
    sections: "tuple[Section, ...]",
) -> "tuple[tuple[Sentence, ...], tuple[Section, ...]]":
    """The sentences that are said first, and all the rest."""
    from itertools import takewhile

    from ..html.model import Section, Sentence

    if not sections or sections[0].title:
        return (), sections
    first, *rest = sections
    lead = tuple(takewhile(lambda one: isinstance(one, Sentence) and not one.item, first.blocks))
    after = first.blocks[len(lead) :]
    said = tuple(one for one in lead if isinstance(one, Sentence))
    return said, (*((Section("", after),) if after else ()), *rest)


def said_first(page: "Page") -> str:
    """What a page says first, in a line for a link to it; empty where it begins with a table."""
    return page.lead[0].text if page.lead else ""


def _about(lead: "tuple[Sentence, ...]") -> str:
    """What the first sentence is of: all before its colon."""
    return lead[0].text.partition(": ")[0] if lead else ""
