"""What every picture is drawn on: a sheet as wide as a telephone, in inks that the page mixes.

The library sets words by the measures of a typeface it brings along, and leaves them words, so that
the page shows them in its own. Inks are stand-ins, each put in by name when the drawing is done:
the same drawing is dark on light and light on dark.
"""

from __future__ import annotations

import io
import re
import warnings
from enum import StrEnum
from importlib.util import find_spec
from typing import TYPE_CHECKING, Any, Protocol
from xml.etree import ElementTree as ET

from ...constraints.values.door import seen

if TYPE_CHECKING:
    from collections.abc import Mapping
    from contextlib import AbstractContextManager

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

WIDTH = 360.0
"""Of every picture [points]: no telephone is narrower."""

_POINTS = 72.0  # of an inch, which the library counts in
_SVG = "http://www.w3.org/2000/svg"
_LINK = "{http://www.w3.org/1999/xlink}href"
_SETTINGS: Any = {  # its keys are typed one by one in some versions of the library, in others not
    "svg.fonttype": "none",
    "svg.hashsalt": "barwright",
    "text.parse_math": False,  # a $ in a name is a $
    "font.family": "DejaVu Sans",
    "path.simplify": False,
}


class Ink(StrEnum):
    """What a colour is for; the value stands for it while the library draws."""

    TEXT = "#010101"
    SOFT = "#010102"
    GRID = "#010103"
    MAIN = "#010104"
    BEFORE = "#010105"
    BAND = "#010106"
    WARN = "#010107"
    PAPER = "#010108"

    @property
    def variable(self) -> str:
        """The name that the page gives it."""
        return f"--{self.name.lower()}"


LIGHT: Mapping[Ink, str] = {
    Ink.TEXT: "#1c1f22",
    Ink.SOFT: "#565d64",
    Ink.GRID: "#d5d9dd",
    Ink.MAIN: "#1f5f7a",
    Ink.BEFORE: "#7c8994",
    Ink.BAND: "#cfe3d6",
    Ink.WARN: "#a3321f",
    Ink.PAPER: "#ffffff",
}
"""Inks on white paper."""

DARK: Mapping[Ink, str] = {
    Ink.TEXT: "#e8eaec",
    Ink.SOFT: "#aab2b9",
    Ink.GRID: "#3a4148",
    Ink.MAIN: "#6fb7d6",
    Ink.BEFORE: "#7d8891",
    Ink.BAND: "#2c4a3a",
    Ink.WARN: "#f0907c",
    Ink.PAPER: "#15181b",
}
"""Inks on a dark screen."""

Cells = tuple[str, ...]


class Picture(Protocol):
    """A drawing together with what it shows in words and figures."""

    @property
    def title(self) -> str:
        """What it is called."""

    @property
    def said(self) -> str:
        """What it shows, in a sentence, for whoever cannot look at it."""

    def heads(self) -> Cells:
        """Heads of the columns of its figures."""

    def rows(self) -> tuple[Cells, ...]:
        """The figures that it shows, as text."""

    def draw(self) -> Figure:
        """The drawing, in the inks of :class:`Ink`."""


def can_draw() -> bool:
    """Whether the library that draws is here."""
    return find_spec("matplotlib") is not None


def settings() -> AbstractContextManager[None]:
    """How the library has to be set while a picture is made and written."""
    from matplotlib import rc_context

    return rc_context(_SETTINGS)


def plain_sheet(height: float) -> tuple[Figure, Axes]:
    """A sheet measured in points from its upper left corner, without axes."""
    figure, axes = framed_sheet(height, (0.0, 0.0, WIDTH, height))
    axes.set_axis_off()
    axes.set_xlim(0.0, WIDTH)
    axes.set_ylim(height, 0.0)
    return figure, axes


def framed_sheet(height: float, frame: tuple[float, float, float, float]) -> tuple[Figure, Axes]:
    """A sheet with axes in a frame: left, top, right and bottom [points]."""
    from matplotlib.figure import Figure

    left, top, right, bottom = frame
    figure = Figure(figsize=(WIDTH / _POINTS, height / _POINTS), dpi=_POINTS)
    box = (left / WIDTH, 1 - bottom / height, (right - left) / WIDTH, (bottom - top) / height)
    axes = figure.add_axes(box)
    axes.patch.set_visible(False)
    figure.patch.set_visible(False)
    return figure, axes


def svg_in(picture: Picture, name: str) -> str:
    """A picture to stand in a page, in the inks of the page.

    Args:
        picture: what is drawn.
        name: of the picture, once in a page: what it holds is named after it.
    """
    made = _cleaned(_written(picture), picture, name)
    return _inked(made, {ink: f"var({ink.variable})" for ink in Ink})


def svg_alone(picture: Picture) -> str:
    """A picture as a file of its own, on white paper."""
    made = _inked(_cleaned(_written(picture), picture, "picture"), LIGHT)
    head, _, rest = made.partition(">")
    ground = f'<rect width="100%" height="100%" fill="{LIGHT[Ink.PAPER]}" />'
    return f'{head} font-family="sans-serif">{ground}{rest}\n'


def _written(picture: Picture) -> str:
    made = io.BytesIO()
    with settings(), warnings.catch_warnings():
        # Its typeface lacks a sign of some name: the page has it, and only its width is guessed.
        warnings.filterwarnings("ignore", "Glyph", UserWarning)
        picture.draw().savefig(made, format="svg", metadata={"Date": None, "Creator": None})
    return seen(made.getvalue().decode("utf-8"))


def _cleaned(text: str, picture: Picture, name: str) -> str:
    """Only what draws, named for this page, with its words for whoever cannot look."""
    ET.register_namespace("", _SVG)
    ET.register_namespace("xlink", "http://www.w3.org/1999/xlink")
    root = ET.fromstring(text)  # noqa: S314  (our own drawing)
    for parent in root.iter():
        for child in list(parent):
            if child.tag.rpartition("}")[2] in {"metadata", "style"}:
                parent.remove(child)
    _rename(root, name)
    for one in root.iter(f"{{{_SVG}}}text"):
        one.set("style", re.sub(r"\s*font-family:[^;]*;?", "", one.get("style", "")))
    for key in ("width", "height", "version"):
        root.attrib.pop(key, None)
    root.attrib |= {
        "role": "img",
        "aria-labelledby": f"{name}-title {name}-desc",
        "class": "picture",
        "stroke-linejoin": "round",
    }
    for place, (tag, said) in enumerate((("title", picture.title), ("desc", picture.said))):
        told = ET.Element(f"{{{_SVG}}}{tag}", {"id": f"{name}-{tag}"})
        told.text = seen(said)
        root.insert(place, told)
    return ET.tostring(root, encoding="unicode")


def _rename(root: ET.Element, name: str) -> None:
    """Give what is referred to a name that no other picture has, and take all others away."""
    used = set()
    for one in root.iter():
        for key, value in one.attrib.items():
            used |= set(re.findall(r"url\(#([^)]*)\)", value))
            if key == _LINK:
                used.add(value.removeprefix("#"))
    for one in root.iter():
        if one.get("id") in used:
            one.set("id", f"{name}-{one.get('id')}")
        else:
            one.attrib.pop("id", None)
        for key, value in one.attrib.items():
            if key == _LINK:
                one.set(key, f"#{name}-{value.removeprefix('#')}")
            elif "url(#" in value:
                one.set(key, value.replace("url(#", f"url(#{name}-"))


def _inked(text: str, inks: Mapping[Ink, str]) -> str:
    for ink, colour in inks.items():
        text = text.replace(ink.value, colour)
    return text
