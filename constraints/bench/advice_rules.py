"""What suppliers advise, as rules: use levels, windows of pH, what does not bear what.

A brief asks for them with ``advice = true``.

The upper end of a use level is a plain limit and asks for no yes/no choice; the lower end of what
works at a small dose does, that of the bulk is left to the second look. What goes into the melt has
to melt as hot as the brief says that it is heated. A window of pH and a pair that does not bear
each other matter only where the materials are used: those bring a choice, and with it the least
share that is worth weighing.
"""

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from ..market.practice import figure
from ..market.similarity import functions
from ..model.material import Phase
from ..model.mix import fits, fits_substance
from ..model.rule import Counted, Kind, Pick, Rule, Selector
from ..model.shelf import Item
from ..rules.acidity import Acidity, bands_of
from ..rules.companion import Companion
from ..rules.dose import Dose
from ..rules.ratio import Ratio
from ..rules.scene import Scene
from ..rules.share import Share, none_of
from ..values.problem import Source
from ..values.units import Dimension

if TYPE_CHECKING:
    from ..rules.written import Common

WATER = "Water"
"""The substance in which something dissolves."""


def advice_rules(own: Iterable[Rule], scene: Scene) -> tuple[Rule, ...]:
    """The rules that the shelf's materials bring by their suppliers' advice.

    Args:
        own: the maker's rules; a material that one of them doses keeps that dose.
        scene: what rules may speak of.
    """
    if not scene.advice:
        return ()
    rules = tuple(own)
    there = tuple(item for item in scene.items if item.available)
    matters = (*_windows(rules, there, scene), *_pairs(there, scene))
    # what the maker's own rules choose or dose has its usual dose, which says more than these
    own_dosed = {rule.dosed for rule in rules}
    own_dosed |= {name for rule in rules for name in rule.uses() if name not in rule.unnamed()}
    tied = {name for rule in rules for name in rule.ties()}
    chosen = {name for rule in matters for name in rule.uses()} - own_dosed - tied
    doses = (worth_weighing(one) for one in there if one.material.name in chosen)
    dissolving = (_water_for(one) for one in there)
    levels = (_use_level(one) for one in there if one.material.name not in own_dosed)
    melting = (_out_of_the_melt(one, scene.heat_to) for one in there)
    plain = (rule for rule in (*levels, *dissolving, *melting) if rule is not None)
    return (*plain, *doses, *matters)


def _use_level(item: Item) -> Share | Dose | None:
    """No more than the supplier advises; ``None`` where there is no such advice.

    What works at a small dose is left out or has at least what is advised too: less does nothing.
    """
    dose = item.material.dose
    if dose is None or dose[1] >= 1:
        return None
    if dose[0] > 0 and _works_by_dose(item.material.classes):
        source = item.material.source_for("dose")
        return dosed(item, "use level", DOSE, dose, source)
    return Share(
        id=f"use level of {item.material.name}",
        kind=Kind.ADVICE,
        because="more is not advised",
        unit="%",
        where=item.where,
        source=item.material.source_for("dose"),
        low=None,
        high=dose[1],
        of=Selector(Pick.MATERIAL, item.material.name, Counted.SUPPLIED),
    )


def _works_by_dose(classes: Iterable[str]) -> bool:
    """Whether the first thing that a material does, it does at a small dose."""
    own = {*classes}
    first = next((one for one in functions() if own & {*one.classes}), None)
    return first is not None and first.weight > 1


def _water_for(item: Item) -> Ratio | None:
    """No more of what goes into the water than dissolves in it; ``None`` where nothing is known."""
    material = item.material
    if material.dissolves is None or material.phase is not Phase.WATER:
        return None
    return Ratio(
        id=f"water to dissolve {material.name}",
        kind=Kind.ADVICE,
        because="more does not dissolve in the water there is, and stays as grit",
        unit="",
        where=item.where,
        source=material.source_for("dissolves"),
        low=None,
        high=material.dissolves,
        of=Selector(Pick.MATERIAL, material.name, Counted.SUPPLIED),
        to=Selector(Pick.SUBSTANCE, WATER, Counted.ACTIVE),
    )


def _out_of_the_melt(item: Item, heat_to: float | None) -> Share | None:
    """None of what goes into the melt and does not melt as hot as the maker heats it.

    Where the brief does not say how hot that is there is no such rule, only a remark: what is usual
    elsewhere shuts nothing out.
    """
    melts = item.material.heat.melts_at if item.material.heat is not None else None
    if item.material.phase is not Phase.MELT or melts is None or heat_to is None:
        return None
    if melts <= heat_to:
        return None
    why = f"it melts at {melts:g} °C, and a melt is heated to {heat_to:g} °C: it stays in lumps"
    common: Common = {
        "id": f"{item.material.name} melts",
        "kind": Kind.ADVICE,
        "because": why,
        "where": item.where,
        "source": item.material.source_for("heat"),
    }
    return none_of(common, Selector(Pick.MATERIAL, item.material.name, Counted.SUPPLIED))


def worth_weighing(item: Item) -> Dose:
    """Left out, or at least so much that it can be weighed."""
    least = figure("least share", Dimension.SHARE)
    why = "less cannot be weighed, and does nothing"
    return dosed(item, "least share", why, (least.span.typical, 1.0), least.source)


DOSE = "less does nothing, more is not advised"
"""Why a material is left out or dosed as its supplier says."""


def dosed(item: Item, what: str, why: str, span: tuple[float, float], source: Source) -> Dose:
    """A material left out, or within a span, as a rule of kind *advice*.

    Args:
        item: the material.
        what: what the rule is called, before the name of the material.
        why: its reason.
        span: the least and the most [kg/kg].
        source: where these were taken from.
    """
    return Dose(
        id=f"{what} of {item.material.name}",
        kind=Kind.ADVICE,
        because=why,
        unit="%",
        where=item.where,
        source=source,
        low=span[0],
        high=span[1],
        material=item.material.name,
    )


def _windows(own: tuple[Rule, ...], items: Iterable[Item], scene: Scene) -> Iterator[Acidity]:
    """The pH in which a material keeps, where the maker's own band does not see to it already."""
    bands = bands_of(own)
    lowest = max((band.low for band in bands if band.low is not None), default=None)
    highest = min((band.high for band in bands if band.high is not None), default=None)
    for item in items if scene.dilution is not None else ():
        low, high = item.material.keeps_above_ph, item.material.keeps_below_ph
        low = None if low is None or (lowest is not None and lowest >= low) else low
        high = None if high is None or (highest is not None and highest <= high) else high
        if (low is not None or high is not None) and scene.dilution is not None:
            yield _window(item, low, high, scene.dilution)


def _window(item: Item, low: float | None, high: float | None, dilution: float) -> Acidity:
    key = "keeps_above_ph" if low is not None else "keeps_below_ph"
    return Acidity(
        id=f"{item.material.name} keeps",
        kind=Kind.ADVICE,
        because="outside this pH it falls apart in time",
        unit="pH",
        where=item.where,
        source=item.material.source_for(key),
        low=low,
        high=high,
        dilution=dilution,
        when=item.material.name,
    )


def _pairs(items: tuple[Item, ...], scene: Scene) -> Iterator[Companion]:
    """What a material does not bear, among what is on the shelf."""
    for item in items:
        for name, why in item.material.not_with.items():
            others = tuple(other for other in items if _is(name, other, scene) and other != item)
            if others:
                yield Companion(
                    id=f"{item.material.name} not with {name}",
                    kind=Kind.ADVICE,
                    because=why,
                    unit="",
                    where=item.where,
                    source=item.material.source_for("not_with"),
                    material=item.material.name,
                    needs=(),
                    never=tuple(other.material.name for other in others),
                )


def _is(name: str, item: Item, scene: Scene) -> bool:
    """Whether a material is what a name says: itself, of that class, or one that holds it."""
    if item.material.name == name:
        return True
    by_class = Selector(Pick.CLASS, name, Counted.SUPPLIED)
    inside = (scene.substances[inci] for inci in item.material.contents)
    return fits(by_class, item.material, scene.substances) or any(
        one.inci == name or fits_substance(by_class, one) for one in inside
    )
