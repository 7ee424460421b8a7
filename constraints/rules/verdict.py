"""Does a composition keep the rules? Judged from the rules themselves, not from rows.

This is the check that stands between a solver and the maker: it computes what each rule is about
straight from shares, contents and prices, and shares no code with the rows a solver was given.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import fsum

from ..model.brief import Bench, Composition
from ..model.material import Material
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
    Limited,
    Mean,
    Pick,
    Ratio,
    Rule,
    Selector,
    Share,
    Without,
)

TOLERANCE = 1e-7
"""A rule is broken when it is missed by more than this [kg/kg of mix]: 0.000 01 %."""

PH_TOLERANCE = 0.005
"""A pH band is broken when it is missed by more than this: a fifth of what a good meter reads."""

TRACE = 1e-9
"""A material with no more than this share is not used [kg/kg]."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """What one rule says of a composition.

    Args:
        rule: the rule.
        value: what the rule is about, in its canonical unit; ``None`` where there is none, such as
            a ratio to nothing.
        kept: whether it holds within the tolerance.
        room_low: how far the value stands above the lower limit, negative below it; ``None`` where
            that side is free or there is no value.
        room_high: the same for the upper limit.
    """

    rule: Rule
    value: float | None
    kept: bool
    room_low: float | None
    room_high: float | None

    @property
    def room(self) -> float | None:
        """Room left on the nearer side, or ``None`` where neither side has one."""
        rooms = [room for room in (self.room_low, self.room_high) if room is not None]
        return min(rooms, default=None)


def judge(bench: Bench, composition: Composition) -> tuple[Verdict, ...]:
    """Judge a composition by every rule of a bench, in the order of the brief.

    Raises:
        KeyError: when the composition names a material that is not on the shelf.
    """
    parts = tuple(
        (bench.item(name).material, bench.item(name).price, share)
        for name, share in composition.parts.items()
    )
    return tuple(_judge_one(bench, rule, parts) for rule in bench.brief.rules)


_Parts = tuple[tuple[Material, float, float], ...]


def _judge_one(bench: Bench, rule: Rule, parts: _Parts) -> Verdict:
    if isinstance(rule, Companion):
        return Verdict(rule, None, _companions_kept(rule, _used(parts)), None, None)
    if isinstance(rule, Without):
        share = _picked_whole(bench, rule.of, parts)
        return Verdict(rule, share, share <= TOLERANCE, None, -share)
    if isinstance(rule, Ratio):
        return _ratio(bench, rule, parts)
    if isinstance(rule, Acidity):
        return _acidity(bench, rule, parts)
    if isinstance(rule, Dose):
        return _dose(rule, parts)
    if isinstance(rule, Limited):
        return _limited(rule, _value(bench, rule, parts), TOLERANCE)
    message = f"no judgement is known for {type(rule).__name__}"
    raise TypeError(message)


def _limited(rule: Limited, value: float, tolerance: float) -> Verdict:
    room_low = None if rule.low is None else value - rule.low
    room_high = None if rule.high is None else rule.high - value
    kept = all(room is None or room >= -tolerance for room in (room_low, room_high))
    return Verdict(rule, value, kept, room_low, room_high)


def _value(bench: Bench, rule: Limited, parts: _Parts) -> float:
    if isinstance(rule, Share):
        return _picked(bench, rule.of, parts)
    if isinstance(rule, Counting):
        end = "high" if rule.kind is Kind.LAW else "typical"
        return fsum(_counted(rule.factors, parts, end))
    if isinstance(rule, Mean):
        return fsum(rule.values[material.name] * share for material, _, share in parts)
    if isinstance(rule, Density):
        return 1.0 / fsum(share / rule.values[material.name] for material, _, share in parts)
    if isinstance(rule, Cost):
        return fsum(price * share for _, price, share in parts)
    if isinstance(rule, Choose):
        return float(len(_used(parts) & set(rule.among)))
    message = f"no value is known for {type(rule).__name__}"
    raise TypeError(message)


def _counted(factors: Mapping[str, float], parts: _Parts, end: str) -> Iterator[float]:
    for material, _, share in parts:
        for inci, span in material.contents.items():
            if inci in factors:
                yield factors[inci] * getattr(span, end) * share


def _ratio(bench: Bench, rule: Ratio, parts: _Parts) -> Verdict:
    """Judged as masses, so that a ratio to nothing is no division by zero."""
    of, to = _picked(bench, rule.of, parts), _picked(bench, rule.to, parts)
    kept_low = rule.low is None or of - rule.low * to >= -TOLERANCE
    kept_high = rule.high is None or of - rule.high * to <= TOLERANCE
    if to <= TRACE:
        return Verdict(rule, None, kept_low and kept_high, None, None)
    ratio = of / to
    room_low = None if rule.low is None else ratio - rule.low
    room_high = None if rule.high is None else rule.high - ratio
    return Verdict(rule, ratio, kept_low and kept_high, room_low, room_high)


def _dose(rule: Dose, parts: _Parts) -> Verdict:
    share = fsum(share for material, _, share in parts if material.name == rule.material)
    if share <= TRACE:
        return Verdict(rule, None, kept=True, room_low=None, room_high=None)
    return _limited(rule, share, TOLERANCE)


def _acidity(bench: Bench, rule: Acidity, parts: _Parts) -> Verdict:
    from ..acidity.charge import equilibrium, in_water  # only a brief with a pH rule pays for it

    if rule.when is not None and rule.when not in _used(parts):
        return Verdict(rule, None, kept=True, room_low=None, room_high=None)
    mix = tuple((material, share) for material, _, share in parts)
    ph, _ = equilibrium(in_water(mix, bench.substances, rule.dilution))
    return _limited(rule, ph, PH_TOLERANCE)


def _companions_kept(rule: Companion, used: frozenset[str]) -> bool:
    if rule.material not in used:
        return True
    accompanied = not rule.needs or bool(used & set(rule.needs))
    return accompanied and not used & set(rule.never)


def _used(parts: _Parts) -> frozenset[str]:
    return frozenset(material.name for material, _, share in parts if share > TRACE)


def _picked(bench: Bench, selector: Selector, parts: _Parts) -> float:
    """Mass that a selector counts in a kilogram of mix."""
    if selector.pick is Pick.SUBSTANCE or (
        selector.pick is Pick.CLASS and selector.counted is Counted.ACTIVE
    ):
        return fsum(
            amount * share
            for material, _, share in parts
            for inci, amount in material.typical_contents()
            if _is_substance(bench, selector, inci)
        )
    return _picked_whole(bench, selector, parts)


def _picked_whole(bench: Bench, selector: Selector, parts: _Parts) -> float:
    """Mass of the whole materials that a selector picks in a kilogram of mix."""
    return fsum(share for material, _, share in parts if _is_material(bench, selector, material))


def _is_substance(bench: Bench, selector: Selector, inci: str) -> bool:
    if selector.pick is Pick.SUBSTANCE:
        return inci == selector.name
    return selector.name in bench.substances[inci].classes


def _is_material(bench: Bench, selector: Selector, material: Material) -> bool:
    if selector.pick is Pick.MATERIAL:
        return material.name == selector.name
    if selector.pick is Pick.TAG:
        return selector.name in material.tags
    if selector.pick is Pick.CLASS and selector.counted is Counted.SUPPLIED:
        return selector.name in material.classes
    return any(
        span.high > 0 and _is_substance(bench, selector, inci)
        for inci, span in material.contents.items()
    )
