"""Pages written with the templates beside this file: what is said never becomes a tag."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from jinja2 import Environment

    from .model import Index, Page


@cache
def _templates() -> Environment:
    """The templates: every text is escaped, and a name that is not given is an error."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("barwright.cli.html"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


def written(template: str, **given: object) -> str:
    """A document of a template with what it asks for."""
    return _templates().get_template(template).render(**given)


def as_written(document: str) -> str:
    """A part of a page that a template wrote: its tags are tags."""
    from markupsafe import Markup

    return Markup(document)  # noqa: S704  (every text in it was escaped)


def page_html(page: Page) -> str:
    """A page as a document of its own: nothing in it is fetched from anywhere."""
    return written("page.html", page=page, **inks())


def index_html(index: Index) -> str:
    """The page that leads to others of its folder, as a document of its own."""
    return written("index.html", index=index, **inks())


def inks() -> Mapping[str, str]:
    """The colours of a page and of its pictures, on a light and on a dark screen."""
    from ..picture.canvas import DARK, LIGHT, Ink

    light, dark = (
        " ".join(f"{ink.variable}: {colours[ink]};" for ink in Ink) for colours in (LIGHT, DARK)
    )
    return {"light": light, "dark": dark}
