"""Which cautions apply to a composition, and where in the work they stand.

They are a reminder, not an assessment: the safety data sheet of a material, the law where the bar
is made and a qualified assessor go before them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from ..data import text_of
from ..model.brief import Bench, Composition
from ..model.material import Material
from ..model.mix import TRACE
from ..values.problem import Problem, Source, SourceKind
from ..values.table import Table, table_of
from ..values.units import Dimension

_FILE = "cautions.toml"
_KEYS = ("hazard", "form", "phase", "tag", "class")
Case = Mapping[str, frozenset[str]]


class Moment(StrEnum):
    """Where in the work a caution stands, in working order."""

    BEFORE = "before"
    WEIGHING = "weighing"
    WATER = "water"
    MELT = "melt"
    POWDER = "powder"
    COOL_DOWN = "cool-down"
    AFTER = "after"


@dataclass(frozen=True, slots=True)
class Caution:
    """Something that can hurt someone, and what to do about it.

    Args:
        code: its name.
        at: where in the work it stands.
        text: the caution.
        markets: where it applies; empty for everywhere.
        cases: key -> words; it applies to a material when every key of one case fits with one of
            its words. Without a case it always applies.
        source: where it comes from.
    """

    code: str
    at: Moment
    text: str
    markets: tuple[str, ...]
    cases: tuple[Case, ...]
    source: Source


@cache
def _packaged() -> tuple[tuple[Caution, ...], float]:
    """The packaged cautions, and the share from which a substance counts [kg/kg]."""
    problems: list[Problem] = []
    whole = table_of(_FILE, text_of(_FILE), problems)
    defaults = whole.table("_defaults") if whole else None
    if whole is None or defaults is None:
        raise ValueError(problems)
    date = defaults.text("date", "when it was read", needed=True) or ""
    share = defaults.quantity("class_from", Dimension.SHARE, needed="a share")
    entries = (entry for entry in whole.tables() if entry.path != defaults.path)
    found = tuple(_caution(entry, date) for entry in entries)
    if problems or share is None:  # the file is ours: a mistake in it is never the maker's
        raise ValueError(problems)
    return found, share


def cautions() -> tuple[Caution, ...]:
    """The packaged cautions, in file order."""
    return _packaged()[0]


def applying(
    bench: Bench, composition: Composition, known: Iterable[Caution] | None = None
) -> tuple[tuple[Caution, tuple[str, ...]], ...]:
    """The cautions that apply to a composition, in working order, with the materials they are for.

    A caution that always applies comes with no materials.

    Args:
        bench: the materials and what they contain.
        composition: what is used.
        known: cautions to choose from; by default those packaged.

    Raises:
        KeyError: when the composition names a material that is not on the shelf.
    """
    used = [bench.material(name) for name, share in composition.parts.items() if share > TRACE]
    words = {material.name: _words(bench, material) for material in used}
    chosen = (
        (caution, tuple(name for name, has in words.items() if _fits(caution, has)))
        for caution in (cautions() if known is None else known)
        if not caution.markets or set(caution.markets) & set(bench.brief.markets)
    )
    order = list(Moment)
    return tuple(
        sorted(
            ((one, names) for one, names in chosen if names or not one.cases),
            key=lambda pair: order.index(pair[0].at),
        )
    )


def _fits(caution: Caution, has: Case) -> bool:
    return any(all(has[key] & words for key, words in case.items()) for case in caution.cases)


def _words(bench: Bench, material: Material) -> dict[str, frozenset[str]]:
    """What a case can ask of a material."""
    _, from_share = _packaged()
    inside = (
        bench.substances[inci].classes
        for inci, share in material.typical_contents()
        if share >= from_share
    )
    return {
        "hazard": frozenset(material.hazards),
        "form": frozenset({material.form.value}),
        "phase": frozenset({material.phase.value}),
        "tag": frozenset(material.tags),
        "class": frozenset(material.classes).union(*inside),
    }


def _caution(entry: Table, date: str) -> Caution:
    entry.only(("at", "text", "markets", "when", "source", "kind"))
    return Caution(
        code=entry.path[-1],
        at=entry.word("at", Moment, needed=True) or Moment.BEFORE,
        text=entry.text("text", "the caution", needed=True) or "",
        markets=entry.names("markets", "a list of markets"),
        cases=_cases(entry),
        source=Source(
            entry.text("source", "where it comes from", needed=True) or "",
            SourceKind[str(entry.values["kind"]).upper()],
            date,
        ),
    )


def _cases(entry: Table) -> tuple[Case, ...]:
    written = entry.values.get("when", [])
    if not isinstance(written, list):
        entry.refuse("no list", "a list of cases", "when")
        return ()
    return tuple(_case(entry, case) for case in written)


def _case(entry: Table, case: Mapping[str, object]) -> Case:
    found = Table(entry.file, (*entry.path, "when"), case, {}, entry.problems)
    found.only(_KEYS)
    if not case:
        found.refuse("an empty case", "what it applies to")
    return {key: frozenset(found.names(key, "a list of words")) for key in case}
