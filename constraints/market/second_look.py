"""A second look at a composition, apart from its rules: what an experienced maker would stop at.

It changes no answer. Thresholds are data; what is said of them stands where sentences are made.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from ..acidity.prediction import Prediction, predict
from ..data import text_of
from ..model.brief import Bench, Composition
from ..model.material import Phase
from ..model.mix import TRACE, Mix
from ..model.rule import Counted, Pick, Selector
from ..model.verdict import TOLERANCE
from ..rules.acidity import band_of
from ..rules.judging import mix_of
from ..values.problem import Problem, Source, SourceKind
from ..values.table import Table, table_of
from ..values.units import Dimension
from .practice import figure

_FILE = "second_look.toml"
NO_MORE = 0.02
"""A share within this part of the least dose, more or less, stands at the least dose."""


@dataclass(frozen=True, slots=True)
class Look:
    """Something to look at in every composition.

    Args:
        name: by which it is spoken of.
        of: what is measured.
        to: what it is set against, ``None`` for a share of the mix.
        over: above this it is said, or ``None``.
        under: below this it is said, or ``None``; with ``over`` only between the two.
        unless: what makes it no matter when it is there, or ``None``.
        source: where the thresholds come from.
    """

    name: str
    of: Selector
    to: Selector | None
    over: float | None
    under: float | None
    unless: Selector | None
    source: Source


@dataclass(frozen=True, slots=True)
class Remark:
    """What a second look stops at.

    Args:
        name: which look it is.
        value: what was measured [kg/kg, pH, or °C].
        threshold: what it was measured against, the same.
        names: the materials that it is about, where it is about some.
        source: where the threshold comes from; ``None`` where it is the maker's own.
    """

    name: str
    value: float
    threshold: float
    names: tuple[str, ...] = ()
    source: Source | None = None


def second_look(bench: Bench, composition: Composition) -> tuple[Remark, ...]:
    """What an experienced maker would stop at in a composition, in the order of the data.

    Raises:
        KeyError: when it names a material that is not on the shelf.
    """
    mix = mix_of(bench, composition)
    looked = (_remark(look, mix) for look in looks())
    found = (remark for remark in looked if remark is not None)
    bench_work = (*_does_not_dissolve(mix), *_does_not_melt(mix, bench.brief.workshop.heat_to))
    doses = (*_above_dose(bench, composition), *_at_least_dose(bench, composition))
    return (*found, *bench_work, *doses, *_beyond_the_band(bench, mix))


def _remark(look: Look, mix: Mix) -> Remark | None:
    value = mix.picked(look.of)
    if look.to is not None:
        against = mix.picked(look.to)
        if against == 0:
            return None
        value /= against
    low, high = look.over, look.under
    passed = (low is None or value > low) and (high is None or value < high)
    if not passed or (look.unless is not None and mix.picked(look.unless) > 0):
        return None
    threshold = high if high is not None else low
    return Remark(look.name, value, threshold or 0.0, source=look.source)


def _does_not_dissolve(mix: Mix) -> Iterator[Remark]:
    """What goes into the water and is more than dissolves in all the water there is, one by one."""
    water = mix.counted({"Water": 1.0})
    for material, share in mix.shares:
        if material.dissolves is None or material.phase is not Phase.WATER:
            continue
        needed = share / material.dissolves
        if share > TRACE and needed > water + TOLERANCE:
            source = material.source_for("dissolves")
            yield Remark("more than dissolves", needed, water, (material.name,), source)


def _does_not_melt(mix: Mix, heat_to: float | None) -> Iterator[Remark]:
    """What goes into the melt and does not melt as hot as that is heated, or is usual."""
    hottest = figure("hottest melt", Dimension.TEMPERATURE)
    top = hottest.span.typical if heat_to is None else heat_to
    source = hottest.source if heat_to is None else None
    for material, share in mix.shares:
        melts = material.heat.melts_at if material.heat else None
        if share > TRACE and material.phase is Phase.MELT and melts is not None and melts > top:
            yield Remark("does not melt", melts, top, (material.name,), source)


def _above_dose(bench: Bench, composition: Composition) -> Iterator[Remark]:
    """Materials of which there is more than their suppliers advise, whatever the brief allows."""
    for name, share in composition.parts.items():
        dose = bench.material(name).dose
        if dose is not None and share > dose[1] + TOLERANCE:
            source = bench.material(name).source_for("dose")
            yield Remark("above the dose advised", share, dose[1], (name,), source)


def _at_least_dose(bench: Bench, composition: Composition) -> Iterator[Remark]:
    """Materials at the least of what their suppliers advise, or below it: too little to do much."""
    for name, share in composition.parts.items():
        dose = bench.material(name).dose
        if dose is not None and TRACE < share <= dose[0] * (1 + NO_MORE):
            source = bench.material(name).source_for("dose")
            below = share < dose[0] * (1 - NO_MORE)
            look = "below the dose advised" if below else "at the least dose"
            yield Remark(look, share, dose[0], (name,), source)


def _beyond_the_band(bench: Bench, mix: Mix) -> Iterator[Remark]:
    """A predicted pH whose range leaves the band, though the pH itself lies in it."""
    band = band_of(bench.brief)
    if band is None:
        return
    said: Prediction = predict(mix.shares, mix.substances, band.dilution)
    if band.high is not None and said.high > band.high:
        yield Remark("pH may be above its band", said.high, band.high, said.unknown)
    if band.low is not None and said.low < band.low:
        yield Remark("pH may be below its band", said.low, band.low, said.unknown)


@cache
def looks() -> tuple[Look, ...]:
    """The packaged looks, in file order."""
    problems: list[Problem] = []
    whole = table_of(_FILE, text_of(_FILE), problems)
    defaults = whole.table("_defaults") if whole else None
    if whole is None or defaults is None:
        raise ValueError(problems)
    source = _source(defaults.values)
    entries = [entry for entry in whole.tables() if entry.path != defaults.path]
    found = tuple(_look(entry, source) for entry in entries)
    if problems:  # the file is ours: a mistake in it is never the maker's
        raise ValueError(problems)
    return found


def _source(values: Mapping[str, object]) -> Source:
    return Source(str(values["source"]), SourceKind[str(values["kind"]).upper()])


def _look(entry: Table, usual: Source) -> Look:
    dimension = Dimension.RATIO if "to" in entry else Dimension.SHARE
    return Look(
        name=entry.path[-1],
        of=_selector(entry, "of"),
        to=_selector(entry, "to") if "to" in entry else None,
        over=entry.quantity("over", dimension),
        under=entry.quantity("under", dimension),
        unless=_selector(entry, "unless") if "unless" in entry else None,
        source=_source(entry.values) if "source" in entry else usual,
    )


def _selector(entry: Table, key: str) -> Selector:
    """What a key names, its kind before it; a class counts what is active."""
    pick, _, name = (entry.text(key, "a selector", needed=True) or ":").partition(":")
    counted = Counted.ACTIVE if pick in {Pick.CLASS, Pick.SUBSTANCE} else Counted.SUPPLIED
    return Selector(Pick(pick), name, counted)
