"""One entry of a substance or material file -> the object, every figure with its source."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..acidity.residual import residual_of
from ..market.practice import figure
from ..model.material import Form, Heat, Material, Phase, Span
from ..model.substance import Substance
from ..values.names import nearest_names
from ..values.problem import Source
from ..values.table import Table, worded
from ..values.units import Dimension
from .figure import (
    ABOUT,
    chains_of,
    ionisation_of,
    reading_of,
    reasons_of,
    source_of,
    sources_of,
    span_of,
)

_NEEDED = {
    "form": 'form = "solid", "paste" or "liquid"',
    "phase": 'phase = "water", "melt", "powder" or "cool-down"',
    "contents": 'what it is made of, such as contents."Glycerin" = "99.5 %"',
}
_LEARNT = ("date", "file", "of", "sample", "water", "added", "strip", "meter", "points")
_ADDING_UP = 1e-9  # shares written in decimals add to one no better than this


@dataclass(frozen=True, slots=True)
class Known:
    """What an entry may refer to.

    Args:
        classes: class -> meaning.
        substances: every substance by name, for the contents of a material.
        source: what an entry without a source of its own rests on.
        substance: the substance of a name, for what a reading of pH says beyond the contents.
    """

    classes: Mapping[str, str]
    substances: frozenset[str]
    source: Source
    substance: Callable[[str], Substance]


def substance_of(table: Table, known: Known, base: Substance | None = None) -> Substance:
    """A substance from its entry; what is wrong is noted in the table's problems.

    With ``base`` the entry says only what differs from it.
    """
    inci = table.path[-1]
    source = source_of(table, known.source)
    readers: dict[str, Callable[[], Any]] = {
        "classes": lambda: _classes(table, known),
        "cas": lambda: table.names("cas", 'registry numbers, such as ["532-32-1"]'),
        "molar_mass": lambda: table.quantity("molar_mass", Dimension.MOLAR_MASS),
        "ionisation": lambda: ionisation_of(table, source),
        "buffer": lambda: table.quantity("buffer", Dimension.ALKALINITY),
        "neutral_ph": lambda: table.quantity("neutral_ph", Dimension.PH),
        "colour_index": lambda: table.text("colour_index", 'a CI number, such as "77491"'),
    }
    table.only((*readers, *ABOUT))
    blank = Substance(inci, (), (), None, None, 0.0, 7.0, "", source)
    read = replace(base or blank, inci=inci, source=source, **_read(table, readers))
    if read.molar_mass is None and "molar_mass" not in table and _counted_by_mole(read):
        table.lack(
            "molar_mass", 'what its charge is counted by, such as molar_mass = "192.1 g/mol"'
        )
    return read


def _counted_by_mole(substance: Substance) -> bool:
    return substance.ionisation is not None or "amidoamine" in substance.classes


def material_of(table: Table, known: Known, base: Material | None = None) -> Material:
    """A material from its entry; what is wrong is noted in the table's problems.

    With ``base`` the entry says only what differs from it.
    """
    name = table.path[-1]
    source = source_of(table, known.source)
    readers: dict[str, Callable[[], Any]] = {
        "form": lambda: table.word("form", Form),
        "phase": lambda: table.word("phase", Phase),
        "classes": lambda: _classes(table, known),
        "tags": lambda: table.names("tags", 'words, such as ["sulfate"]'),
        "contents": lambda: _contents(table, known, base),
        "carried": lambda: _carried(table),
        "dose": lambda: _dose(table),
        "add_below": lambda: table.quantity("add_below", Dimension.TEMPERATURE),
        "alkalinity": lambda: span_of(table, "alkalinity", Dimension.ALKALINITY),
        "buffer": lambda: table.quantity("buffer", Dimension.ALKALINITY),
        "works_below_ph": lambda: table.quantity("works_below_ph", Dimension.PH),
        "density": lambda: table.quantity("density", Dimension.DENSITY),
        "heat": lambda: _heat(table, source),
        "hazards": lambda: table.names("hazards", 'hazard statements, such as ["H318"]'),
        "reads": lambda: reading_of(table, source),
        "keeps_above_ph": lambda: table.quantity("keeps_above_ph", Dimension.PH),
        "keeps_below_ph": lambda: table.quantity("keeps_below_ph", Dimension.PH),
        "not_with": lambda: reasons_of(table, "not_with"),
        "wary_of": lambda: reasons_of(table, "wary_of"),
        "also": lambda: table.names("also", 'other names for it, such as ["distilled water"]'),
        "chains": lambda: chains_of(table, known.substances),
        "dissolves": lambda: table.quantity("dissolves", Dimension.RATIO),
        "goes_in_with": lambda: table.text(
            "goes_in_with", 'a material, such as goes_in_with = "glycerin, vegetable"'
        ),
        "strength": lambda: table.quantity("strength", Dimension.RATIO),
    }
    table.only((*readers, "like", "learnt", "sources", *ABOUT))
    _learnt(table)
    if base is None:
        for key, example in _NEEDED.items():
            if key not in table:
                table.lack(key, example)
    blank = Material(
        name,
        Form.SOLID,
        Phase.MELT,
        (),
        (),
        {},
        None,
        None,
        None,
        0.0,
        None,
        None,
        None,
        (),
        source,
    )
    made = replace(base or blank, name=name, source=source, **_read(table, readers))
    made = replace(made, carried=_still_carried(table, made))
    figures = tuple(dict.fromkeys((*readers, *made.contents)))
    kept = {name: one for name, one in made.sources.items() if name not in table}
    made = replace(made, sources={**kept, **sources_of(table, figures, source)})
    return made if table.problems else _as_read(made, table, known)


def _carried(table: Table) -> dict[str, str] | None:
    """Content -> the content that it came along with."""
    carried = table.table("carried")
    if carried is None:
        return None
    example = 'the content it came with, such as carried = { "Water" = "Zea Mays Starch" }'
    read = {inci: carried.text(inci, example) for inci in carried.values}
    return {inci: carrier for inci, carrier in read.items() if carrier is not None}


def _still_carried(table: Table, read: Material) -> dict[str, str]:
    """What is carried by something else inside; of an own entry, all has to be inside."""
    apart = {
        inci: carrier
        for inci, carrier in read.carried.items()
        if inci != carrier and {inci, carrier} <= set(read.contents)
    }
    for inci in set(read.carried) - set(apart) if "carried" in table else ():
        expected = "two different contents of this material"
        table.refuse(f"{worded(inci)} with {worded(read.carried[inci])}", expected, "carried")
    return apart


def _as_read(material: Material, table: Table, known: Known) -> Material:
    """An alkalinity that stands in the entry goes before a reading that it starts from.

    One that was learnt goes before a reading beside it too: it was read at the bench.
    """
    if "alkalinity" in table and "reads" in table and "learnt" not in table:
        table.refuse("an alkalinity beside what it reads", "one of the two", "alkalinity")
    if "alkalinity" in table:
        return replace(material, reads=None)
    if material.reads is None:
        return material
    contained = {inci: known.substance(inci) for inci in material.contents}
    return replace(material, alkalinity=residual_of(material, contained))


def _learnt(table: Table) -> None:
    """The readings behind an alkalinity: kept for the maker, only their keys are looked at."""
    learnt = table.table("learnt")
    if learnt is not None:
        learnt.only(_LEARNT)
        learnt.day("date", 'the day of the readings, such as date = "2026-11-20"')


def _read(table: Table, readers: Mapping[str, Callable[[], Any]]) -> dict[str, Any]:
    """The keys that are there; one that is wrong is noted by its reader and left out."""
    read = {key: reader() for key, reader in readers.items() if key in table}
    return {key: value for key, value in read.items() if value is not None}


def _classes(table: Table, known: Known) -> tuple[str, ...]:
    names = table.names("classes", 'class names, such as ["surfactant"]')
    for name in names:
        if name not in known.classes:
            near = nearest_names(name, known.classes)
            table.refuse(worded(name), "a class of the trade", "classes", nearest=near)
    return names


def _contents(table: Table, known: Known, base: Material | None) -> dict[str, Span]:
    """What a material is made of; what an entry does not name of its ``base`` fills the rest."""
    contents = table.table("contents")
    if contents is None:
        return {}
    if not contents.values:
        table.refuse("no substance", "at least one substance with its share", "contents")
    for inci in contents.values:
        if inci not in known.substances:
            near = nearest_names(inci, known.substances)
            contents.refuse(worded(inci), "a known substance", inci, nearest=near)
    spans = {inci: span_of(contents, inci, Dimension.SHARE) for inci in contents.values}
    read = {inci: span for inci, span in spans.items() if span is not None}
    if len(read) < len(spans) or not spans:
        return {}  # what the others come to says nothing
    whole = _filled(table, read, base.contents if base else {})
    return {inci: span for inci, span in whole.items() if span.high > 0}


def _filled(table: Table, named: dict[str, Span], like: Mapping[str, Span]) -> Mapping[str, Span]:
    """The contents named, and what else the like of it holds, in its proportions, in the rest."""
    total = sum(span.typical for span in named.values())
    others = {inci: span for inci, span in like.items() if inci not in named}
    before, rest = sum(span.typical for span in others.values()), 1 - total
    found = f"{total * 100:.10g} % in all"
    if total > 1 + _ADDING_UP:
        table.refuse(found, "at most 100 % in all", "contents")
    elif total >= _WHOLE:
        return named
    elif not others:
        water = f'such as contents."Water" = "{rest * 100:.4g} %"'
        table.refuse(found, f"100 % in all: name the rest, {water}", "contents")
    elif abs(rest - before) > figure("rest of a material", Dimension.SHARE).span.typical:
        names = ", ".join(others)
        expected = f"100 % in all: too much differs to fill it up by {names}; name them, or 0 %"
        table.refuse(found, expected, "contents")
    else:
        return named | {inci: _times(span, rest / before) for inci, span in others.items()}
    return {}


_WHOLE = 0.99  # what a certificate leaves unnamed below this is more than its rounding


def _times(span: Span, factor: float) -> Span:
    low, typical, high = (
        round(share * factor, 12) for share in (span.low, span.typical, span.high)
    )
    return Span(low, typical, min(high, 1.0))


def _dose(table: Table) -> tuple[float, float] | None:
    value = table.values.get("dose")
    if value is None:
        return None
    if not isinstance(value, list) or len(value) != 2:
        table.refuse(worded(value), 'least and most, such as ["0.5 %", "1 %"]', "dose")
        return None
    low, high = (table.figure(figure, Dimension.SHARE, "dose") for figure in value)
    if low is None or high is None:
        return None
    if low > high:
        table.refuse(" to ".join(map(worded, value)), "the least first", "dose")
        return None
    return low, high


def _heat(table: Table, source: Source) -> Heat | None:
    entry = table.table("heat")
    if entry is None:
        return None
    entry.only(("specific", "melts_at", "latent", "source", "kind", "date", "note"))
    specific = entry.quantity("specific", Dimension.HEAT, needed='specific = "2.1 kJ/kg/K"')
    melts_at = entry.quantity("melts_at", Dimension.TEMPERATURE)
    latent = entry.quantity("latent", Dimension.LATENT)
    if latent and melts_at is None and "melts_at" not in entry:
        entry.lack("melts_at", 'where it melts, such as melts_at = "62 degC"')
    if specific is None:
        return None
    return Heat(specific, melts_at, latent or 0.0, source_of(entry, source))
