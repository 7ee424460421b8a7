"""One figure of an entry -> a span, a reading or a set of constants, each with its source."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from math import nan

from ..acidity.residual import at_zero
from ..model.material import Reading, Span
from ..model.substance import Ionisation
from ..values.names import nearest_names
from ..values.problem import Source, SourceKind
from ..values.table import Table, worded
from ..values.units import Dimension

ABOUT = ("source", "kind", "date", "note")
_GROUPS = ("pka", "at", "top_charge", "ions", "aggregates")
_MOST_SALT = 5.0  # no table of constants was measured in more [mol/kg]


def source_of(table: Table, otherwise: Source) -> Source:
    """The source that an entry gives, or ``otherwise`` for what it leaves out."""
    kind = _source_kind(table) or otherwise.kind
    citation = table.text("source", "where the figures come from")
    date = table.day("date", 'the day it was read, such as "2026-11-25"')
    if citation is None and "kind" in table:
        citation = kind.value if kind in {SourceKind.PRACTICE, SourceKind.MEMORY} else None
    return Source(citation or otherwise.citation, kind, date or otherwise.date)


def _source_kind(table: Table) -> SourceKind | None:
    kinds = {kind.name.lower(): kind for kind in SourceKind}
    word = table.text("kind", f"one of {', '.join(kinds)}")
    if word is None or word in kinds:
        return kinds[word] if word else None
    table.refuse(
        worded(word), f"one of {', '.join(kinds)}", "kind", nearest=nearest_names(word, kinds)
    )
    return None


def span_of(table: Table, key: str, dimension: Dimension) -> Span | None:
    """One figure, or low, typical and high."""
    value = table.values.get(key)
    if value is None:
        return None
    figures = value if isinstance(value, list) else [value]
    if len(figures) not in {1, 3}:
        table.refuse(f"{len(figures)} figures", "one figure, or low, typical and high", key)
        return None
    read = [table.figure(figure, dimension, key) for figure in figures]
    low, typical, high = (read * 3)[:3] if len(read) == 1 else read
    if low is None or typical is None or high is None:
        return None
    if not low <= typical <= high:
        table.refuse(", ".join(map(worded, figures)), "low, typical and high in that order", key)
        return None
    return Span(low, typical, high)


def reading_of(table: Table, source: Source) -> Reading | None:
    """The pH that a solution reads: ``reads = { ph = [7.5, 9, 10.5], at = "10 %" }``."""
    entry = table.table("reads")
    if entry is None:
        return None
    entry.only(("ph", "at", *ABOUT))
    ph = span_of(entry, "ph", Dimension.PH)
    if "ph" not in entry:
        entry.lack("ph", "what was read, such as ph = [7.5, 9, 10.5]")
    at = entry.quantity("at", Dimension.SHARE, needed='the strength read at, such as at = "10 %"')
    if at == 0.0:
        entry.refuse(worded(entry.values["at"]), "more than nothing in the water", "at")
    return Reading(ph, at, source_of(entry, source)) if ph and at else None


def sources_of(table: Table, figures: tuple[str, ...], source: Source) -> dict[str, Source]:
    """Figures that come from elsewhere than the rest of the entry, with their sources."""
    entry = table.table("sources")
    if entry is None:
        return {}
    entry.only(figures)
    each = {name: entry.table(name) for name in entry.values if name in figures}
    for one in each.values():
        if one is not None:
            one.only(ABOUT)
    return {name: source_of(one, source) for name, one in each.items() if one is not None}


def reasons_of(table: Table, key: str) -> Mapping[str, str]:
    """Names, each with a sentence: ``not_with."anionic" = "the two fall out together"``."""
    entry = table.table(key)
    if entry is None:
        return {}
    read = {name: entry.text(name, "a sentence that says why") for name in entry.values}
    return {name: why for name, why in read.items() if why is not None}


def chains_of(table: Table, known: Collection[str]) -> Mapping[str, Mapping[str, float]]:
    """What mixtures are mixtures of: ``chains."Cetearyl Alcohol" = { "Cetyl Alcohol" = "50 %" }``.

    The shares of each count as parts, so that they add to one.
    """
    entry = table.table("chains")
    read = {} if entry is None else {mixture: entry.table(mixture) for mixture in entry.values}
    return {mixture: _parts(one, known) for mixture, one in read.items() if one is not None}


def _parts(table: Table, known: Collection[str]) -> Mapping[str, float]:
    for inci in table.values:
        if inci not in known:
            near = nearest_names(inci, known)
            table.refuse(worded(inci), "a known substance", inci, nearest=near)
    shares = {inci: table.quantity(inci, Dimension.SHARE) or 0.0 for inci in table.values}
    whole = sum(shares.values())
    if not whole > 0.0:
        table.refuse("nothing in it", 'parts such as "Cetyl Alcohol" = "50 %"')
    return {inci: share / whole for inci, share in shares.items() if whole > 0.0}


def ionisation_of(table: Table, source: Source) -> Ionisation | None:
    """Acid constants and ions; constants measured in a salt solution are moved to none of it."""
    entry = table.table("ionisation")
    if entry is None:
        return None
    entry.only((*_GROUPS, "beside", *ABOUT))
    return replace(_groups(entry, source_of(entry, source)), beside=_beside(entry, source))


def _beside(table: Table, source: Source) -> tuple[Ionisation, ...]:
    """What dissolves with it and ionises for itself."""
    value = table.values.get("beside", [])
    if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
        table.refuse(worded(value), "tables such as [{ pka = [9.244], top_charge = 1 }]", "beside")
        return ()
    path = (*table.path, "beside")
    read = [Table(table.file, path, one, table.lines, table.problems) for one in value]
    for one in read:
        one.only((*_GROUPS, *ABOUT))
    return tuple(_groups(one, source_of(one, source)) for one in read)


def _groups(entry: Table, source: Source) -> Ionisation:
    pka = _numbers(entry, "pka", -10, 20)
    if list(pka) != sorted(pka):
        entry.refuse(", ".join(map(worded, pka)), "acid constants in rising order", "pka")
    ions = _numbers(entry, "ions", -6, 6)
    top = _numbers(entry, "top_charge", -6, 6) or (0.0,)
    if any(not charge.is_integer() for charge in (*ions, *top)):
        entry.refuse("a charge that is not whole", "whole charges, such as [1, 1]")
    salt = _numbers(entry, "at", 0, _MOST_SALT) or (0.0,)
    return Ionisation(
        pka=at_zero(pka, int(top[0]), salt[0]) if salt[0] else pka,
        top_charge=int(top[0]),
        ions=tuple(int(charge) for charge in ions),
        aggregates=entry.yes("aggregates"),
        source=source,
    )


def _numbers(table: Table, key: str, least: float, most: float) -> tuple[float, ...]:
    """A plain number, or a list of them, each between ``least`` and ``most``."""
    value = table.values.get(key, [])
    numbers = value if isinstance(value, list) else [value]
    read = tuple(_number(one) for one in numbers)
    if any(not least <= number <= most for number in read):
        table.refuse(worded(value), f"plain numbers from {least} to {most}", key)
        return ()
    return read


def _number(value: object) -> float:
    """A plain number; what is none becomes ``nan``, which lies between no limits."""
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if plain and abs(value) < 1e300 else nan  # type: ignore[arg-type]
