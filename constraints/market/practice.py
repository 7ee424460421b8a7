"""Figures of the workshop that makers go by where nothing better was measured."""

from dataclasses import dataclass
from functools import cache

from ..data import text_of
from ..model.material import Material, Span
from ..values.problem import Problem, Source, SourceKind
from ..values.table import Table, table_of
from ..values.units import Dimension

_FILE = "practice.toml"


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of common practice: least, usual and most in the unit asked for, and its source."""

    span: Span
    source: Source


@cache
def figure(name: str, dimension: Dimension) -> Figure:
    """The packaged figure of that name, in the canonical unit of what it measures.

    Raises:
        KeyError: when there is none.

    >>> figure("washes a bar", Dimension.RATIO).span
    Span(low=60.0, typical=80.0, high=100.0)
    """
    problems: list[Problem] = []
    whole = table_of(_FILE, text_of(_FILE), problems)
    entry = whole.table(name) if whole else None
    if entry is None:
        raise KeyError(name)
    found = Figure(_span(entry, dimension), _source(entry))
    if problems:  # the file is ours: a mistake in it is never the maker's
        raise ValueError(problems)
    return found


@cache
def _pieces() -> tuple[str, ...]:
    problems: list[Problem] = []
    whole = table_of(_FILE, text_of(_FILE), problems)
    entry = whole.table("worked as") if whole else None
    if entry is None or problems:  # the file is ours: a mistake in it is never the maker's
        raise ValueError(problems)
    return entry.names("words", "words")


def worked_as(material: Material) -> str:
    """In what pieces a material comes, by the end of its name; else the form that it has.

    >>> from barwright.constraints.catalogue.catalogue import material
    >>> worked_as(material("sodium coco-sulfate, needles"))
    'needles'
    >>> worked_as(material("argan oil, virgin"))
    'liquid'
    """
    words = material.name.rpartition(",")[2].split()
    return next((word for word in _pieces() if word in words), material.form.value)


def _span(entry: Table, dimension: Dimension) -> Span:
    written = entry.values["value"]
    values = written if isinstance(written, list) else [written] * 3
    low, typical, high = (entry.figure(value, dimension, "value") or 0.0 for value in values)
    return Span(float(low), float(typical), float(high))


def _source(entry: Table) -> Source:
    citation = entry.text("source", "where the figure comes from", needed=True)
    kind = SourceKind[str(entry.values["kind"]).upper()]
    return Source(citation or "", kind)
