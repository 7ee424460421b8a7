"""The maker's rules: each table of ``[rules]`` -> a rule."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from ..model.material import Form, Material
from ..model.rule import (
    Acidity,
    Choose,
    Companion,
    Cost,
    Counted,
    Counting,
    Density,
    Dose,
    Kind,
    Mean,
    Pick,
    Ratio,
    Rule,
    Share,
    Without,
)
from ..values.names import nearest_names
from ..values.problem import Source, SourceKind
from ..values.table import Table, worded
from ..values.units import Dimension, shown, split
from .naming import Scene, counted, must_be_there, no_count, on_shelf, selected, selector_of

_COMMON = ("kind", "because", "source")
_LIMITS = ("min", "max")


@dataclass(frozen=True, slots=True)
class _Form:
    """How one kind of rule is written: the other keys it takes, and how it is read."""

    keys: tuple[str, ...]
    read: Callable[[Table, Scene, dict[str, Any]], Rule | None]


def rules_of(section: Table, scene: Scene) -> tuple[Rule, ...]:
    """The maker's rules, in file order; what is wrong is noted in the table's problems."""
    read = (_rule(entry, scene) for entry in section.tables())
    rules = tuple(rule for rule in read if rule is not None)
    _refuse_second_doses(section, rules)
    return rules


def _rule(entry: Table, scene: Scene) -> Rule | None:
    if not entry.path[-1].strip():
        entry.refuse("a rule without a name", 'a name, such as [rules."wax to oil"]')
    leading = [key for key in entry.values if key in _FORMS]
    if len(leading) != 1:
        others = [shown(key) for key in entry.values if key not in _COMMON] or ["no leading key"]
        found = " and ".join(leading) or ", ".join(others)
        entry.refuse(
            found, f"just one of {', '.join(_FORMS)}", nearest=_meant(entry) if not leading else ()
        )
        return None
    form = _FORMS[leading[0]]
    entry.only((leading[0], *form.keys, *_COMMON))
    before = len(entry.problems)
    common = _common(entry)
    rule = form.read(entry, scene, common)
    return rule if len(entry.problems) == before else None


def _meant(entry: Table) -> tuple[str, ...]:
    near = (nearest_names(key, _FORMS, 1) for key in entry.values if key not in _COMMON)
    return tuple(dict.fromkeys(name for names in near for name in names))


def _common(entry: Table) -> dict[str, Any]:
    kind = entry.word("kind", Kind, needed=True)
    because = entry.text("because", 'because = "the reason, in your words"', needed=True)
    citation = entry.text("source", "where the rule comes from")
    return {
        "id": entry.path[-1],
        "kind": kind,
        "because": because,
        "where": entry.where(),
        "source": _source(citation, kind) if citation and kind else None,
    }


def _source(citation: str, kind: Kind) -> Source:
    """A quoted source is trusted as its own words say, else as the kind of rule goes."""
    said = {str(one): one for one in (SourceKind.PRACTICE, SourceKind.MEMORY)}
    return Source(citation, said.get(citation, _TRUST[kind]))


_TRUST = {
    Kind.LAW: SourceKind.LAW,
    Kind.ADVICE: SourceKind.CERTIFICATE,
    Kind.PRACTICE: SourceKind.PRACTICE,
    Kind.HOUSE: SourceKind.MEASURED,
}


# ---- limits


def _limits(
    entry: Table,
    dimension: Dimension,
    rates: Mapping[str, float] | None = None,
    needed: tuple[str, ...] = (),
) -> tuple[float | None, float | None]:
    """The lower and the upper limit; a rule without any, or with the two crossed, is noted."""
    low, high = (entry.quantity(key, dimension, rates=rates) for key in _LIMITS)
    missing = [key for key in needed if key not in entry]
    if missing or not any(key in entry for key in _LIMITS):
        entry.refuse(f"no {' and no '.join(missing or _LIMITS)}", _both_or_either(needed))
    if low is not None and high is not None and low > high:
        found = f"{worded(entry.values['min'])} to {worded(entry.values['max'])}"
        entry.refuse(found, "a min that is not above the max", "min")
    return low, high


def _both_or_either(needed: tuple[str, ...]) -> str:
    return "both min and max" if len(needed) == 2 else "min, max or both"


def _unit(entry: Table) -> str:
    """The unit in which the maker wrote the limits."""
    values = (entry.values.get(key) for key in _LIMITS)
    return next((split(value)[1] for value in values if isinstance(value, str)), "")


# ---- kinds of rule


def _share(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    (of,) = counted(entry, [selector_of(entry, "share_of", scene)])
    low, high = _limits(entry, Dimension.SHARE)
    if of is None:
        return None
    if low:
        must_be_there(entry, "share_of", of, scene)
    return Share(**common, unit=_unit(entry), low=low, high=high, of=of)


def _ratio(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    if "to" not in entry:
        entry.lack("to", 'to = "what it is set against"')
    of, to = counted(
        entry, [selector_of(entry, "ratio_of", scene), selector_of(entry, "to", scene)]
    )
    low, high = _limits(entry, Dimension.RATIO)
    if of is None or to is None:
        return None
    if of == to:
        entry.refuse(f"{shown(of.name)} to itself", "two different names", "to")
    if low:
        must_be_there(entry, "ratio_of", of, scene)
    if high is not None:
        must_be_there(entry, "to", to, scene)
    return Ratio(**common, unit=_unit(entry), low=low, high=high, of=of, to=to)


def _dose(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    text = entry.text("dose_of", "the name of a material on the shelf")
    material = on_shelf(entry, "dose_of", text, scene) if text else None
    low, high = _limits(entry, Dimension.SHARE, needed=_LIMITS)
    if low == 0:
        expected = "more than 0 %; for an upper limit alone write share_of"
        entry.refuse(worded(entry.values["min"]), expected, "min")
    if material is None:
        return None
    return Dose(**common, unit=_unit(entry), low=low, high=high, material=material)


def _choose(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    names = entry.names("choose", 'a list of materials, such as ["A", "B"]')
    among = tuple(on_shelf(entry, "choose", name, scene) for name in names)
    if not names and "choose" in entry and entry.values["choose"] == []:
        entry.refuse("an empty list", "the materials to choose among", "choose")
    exactly = entry.whole("exactly", len(names))
    least, most = entry.whole("at_least", len(names)), entry.whole("at_most", len(names))
    said = [key for key in _CHOSEN if key in entry]
    if not said or ("exactly" in said and len(said) > 1):
        entry.refuse(" and ".join(said) or f"no {', no '.join(_CHOSEN)}", _HOW_MANY)
    if least is not None and most is not None and least > most:
        entry.refuse(f"{least} to {most}", "an at_least that is not above at_most", "at_least")
    low, high = (exactly, exactly) if exactly is not None else (least, most)
    known = tuple(name for name in among if name is not None)
    return Choose(
        **common,
        unit="",
        low=None if low is None else float(low),
        high=None if high is None else float(high),
        among=tuple(dict.fromkeys(known)),
    )


_CHOSEN = ("exactly", "at_least", "at_most")
_HOW_MANY = "exactly = 1, or at_least, at_most or both"


def _companion(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    text = entry.text("if_used", "the name of a material on the shelf")
    material = on_shelf(entry, "if_used", text, scene) if text else None
    needs, never = (_company(entry, key, material, scene) for key in ("needs", "never_with"))
    if not any(entry.values.get(key) for key in ("needs", "never_with")):
        entry.refuse("no needs and no never_with", "needs, never_with or both")
    for name in needs:
        if name in never:
            entry.refuse(f"{shown(name)} in needs and never_with", "each material in one of them")
    if material is None:
        return None
    return Companion(**common, unit="", material=material, needs=needs, never=never)


def _company(entry: Table, key: str, material: str | None, scene: Scene) -> tuple[str, ...]:
    """The materials that another needs or may never be with."""
    names = entry.names(key, 'a list of materials, such as ["A"]')
    found = tuple(on_shelf(entry, key, name, scene) for name in names)
    if material is not None and material in found:
        entry.refuse(shown(material), "a material other than the one of if_used", key)
    return tuple(dict.fromkeys(name for name in found if name is not None))


def _without(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    of = selector_of(entry, "without", scene)
    said = entry.word("count", Counted)
    if of is not None and of.pick is Pick.CLASS:
        of = replace(of, counted=said or _wider(entry, of.name, scene))
    elif of is not None and said not in {None, of.counted}:
        entry.refuse(worded(entry.values["count"]), no_count(of.counted), "count")
    return None if of is None else Without(**common, unit="", of=of)


def _wider(entry: Table, name: str, scene: Scene) -> Counted:
    """Without a class: the counting that leaves out more, where one leaves out all of the other."""
    inside = {
        material.name
        for material in scene.materials
        if any(name in scene.substances[inci].classes for inci in material.contents)
    }
    whole = {material.name for material in scene.materials if name in material.classes}
    if not (inside <= whole or whole <= inside):
        expected = 'count = "active" (by the substances) or "supplied" (by the materials)'
        entry.lack("count", expected)
    return Counted.ACTIVE if whole <= inside else Counted.SUPPLIED


def _counting(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    named = entry.table("sum_of")
    low, high = _limits(entry, Dimension.SHARE)
    if named is None:
        return None
    if not named.values:
        named.refuse(
            "no substance", 'substances with what each counts, such as "Sodium Benzoate" = 0.847'
        )
    factors: dict[str, float] = {}
    for name in named.values:
        of = selected(named, name, name, (Pick.SUBSTANCE,), scene)
        factor = named.quantity(name, Dimension.RATIO)
        if factor == 0:
            named.refuse("0", "more than nothing", name)
        if of is not None and factor is not None:
            factors[of.name] = factor
    if low and scene.whole and factors and not factors.keys() & scene.substances.keys():
        entry.refuse("substances of which the shelf has none", "one that the shelf has", "sum_of")
    return Counting(**common, unit=_unit(entry), low=low, high=high, factors=factors)


def _mean(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    word = entry.text("mean_of", f"one of {', '.join(_PROPERTIES)}")
    if word is not None and word not in _PROPERTIES:
        near = nearest_names(word, _PROPERTIES)
        entry.refuse(shown(word), f"one of {', '.join(_PROPERTIES)}", "mean_of", nearest=near)
    if word is None or word not in _PROPERTIES:
        return None
    dimension, value_of = _PROPERTIES[word]
    low, high = _limits(entry, dimension)
    values = {material.name: value_of(material) for material in scene.materials}
    for name, value in values.items():
        if value is None:
            expected = "a material with a figure for it; give it one in materials.toml"
            entry.refuse(f"no {word} of {shown(name)}", expected, "mean_of")
    known = {name: value for name, value in values.items() if value is not None}
    if word == "density":
        return Density(**common, unit=_unit(entry), low=low, high=high, values=known)
    return Mean(**common, unit=_unit(entry), low=low, high=high, of=word, values=known)


def _water(material: Material) -> float:
    span = material.contents.get("Water")
    return span.typical if span else 0.0


_PROPERTIES: Mapping[str, tuple[Dimension, Callable[[Material], float | None]]] = {
    "density": (Dimension.DENSITY, lambda material: material.density),
    "solid share": (Dimension.SHARE, lambda material: float(material.form is Form.SOLID)),
    "specific heat": (
        Dimension.HEAT,
        lambda material: material.heat.specific if material.heat else None,
    ),
    "water": (Dimension.SHARE, _water),
}


def _cost(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    rates = scene.product.rates
    high = entry.quantity("cost_max", Dimension.PRICE, rates=rates)
    if high is None:
        return None
    unit = split(str(entry.values["cost_max"]))[1]
    if unit[:3] != scene.product.currency:  # shown in the currency in which it is compared
        unit = f"{scene.product.currency}/kg"
    return Cost(**common, unit=unit, low=None, high=high)


def _acidity(entry: Table, scene: Scene, common: dict[str, Any]) -> Rule | None:
    band = entry.table("ph")
    if band is None:
        return None
    band.only(_LIMITS)
    low, high = _limits(band, Dimension.PH)
    dilution = scene.product.dilution
    if dilution is None and "dilution" not in scene.product.stated:
        expected = 'the dilution in which pH is read, such as dilution = "10 %" under [product]'
        entry.refuse("a pH without a dilution", expected)
    if dilution is None:
        return None
    return Acidity(**common, unit="pH", low=low, high=high, dilution=dilution)


_FORMS: Mapping[str, _Form] = {
    "share_of": _Form(("count", *_LIMITS), _share),
    "ratio_of": _Form(("to", "count", *_LIMITS), _ratio),
    "dose_of": _Form(_LIMITS, _dose),
    "choose": _Form(_CHOSEN, _choose),
    "if_used": _Form(("needs", "never_with"), _companion),
    "without": _Form(("count",), _without),
    "sum_of": _Form(_LIMITS, _counting),
    "mean_of": _Form(_LIMITS, _mean),
    "cost_max": _Form((), _cost),
    "ph": _Form((), _acidity),
}


def _refuse_second_doses(section: Table, rules: Iterable[Rule]) -> None:
    first: dict[str, str] = {}
    for rule in rules:
        if isinstance(rule, Dose) and first.setdefault(rule.material, rule.id) != rule.id:
            found = f"a second dose of {shown(rule.material)}"
            section.refuse(
                found, f'one dose for a material, as in "{shown(first[rule.material])}"', rule.id
            )


LEADING = frozenset(_FORMS)
"""The first lines of rules, of which each says what kind it is."""
