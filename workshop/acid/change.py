"""How much more or less of an acid or a base moves a bar to a pH, and what a step of pH means."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ...constraints.acidity.adjusting import (
    ADJUSTING,
    Adjustment,
    Obstacle,
    adjusted,
    adjusters,
    dose_for,
    titration_curve,
)
from ...constraints.acidity.coefficients import Parts
from ...constraints.acidity.prediction import predict
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.material import Material
from ...constraints.model.mix import TRACE
from ...constraints.model.rule import Kind, Limited
from ...constraints.model.substance import Substance
from ...constraints.model.verdict import Verdict
from ...constraints.rules.judging import judge

HAIR = 0.005
"""A limit missed by no more than this part of it is missed by a hair [-] (practice, no source)."""

_CLOSE = 1e-10  # [kg per kg of mix]
_POINTS = 61
_CURVE_DOWN_TO = 1.0  # where there is nothing to aim at, a curve shows this much pH
_SHORTEST_CURVE = 0.001  # [kg per kg of mix]


def changes_for(
    parts: Parts,
    substances: Mapping[str, Substance],
    dilution: float,
    target_ph: float,
    candidates: Iterable[Material],
) -> tuple[Adjustment, ...]:
    """How much more or less of each candidate brings a mix to a pH, the rest staying as it is.

    Only what is there as an acid, a base or a buffer salt is left out: a chelant or a preservative
    that happens to be a base has other work to do.

    Args:
        parts: each material and its share of the mix [kg/kg].
        substances: every substance they and the candidates contain, by INCI name.
        dilution: mass of bar in a mass of dispersion [kg/kg].
        target_ph: the pH to reach.
        candidates: materials to try, each on its own.

    Returns:
        For each candidate the amount to add to a kilogram of the mix [kg], below nothing for what
        is to be left out of it; or why none will do.

    Raises:
        ValueError: when the dilution is not in (0, 1).
    """
    tried = tuple(candidates)
    found = dose_for(parts, substances, dilution, target_ph, tried)
    return tuple(
        _less(parts, substances, dilution, target_ph, material=material, adding=adding)
        if adding.obstacle is Obstacle.AWAY and ADJUSTING.intersection(material.classes)
        else adding
        for material, adding in zip(tried, found, strict=True)
    )


def _less(
    parts: Parts,
    substances: Mapping[str, Substance],
    dilution: float,
    target_ph: float,
    *,
    material: Material,
    adding: Adjustment,
) -> Adjustment:
    """Bisection on what is left out; the pH moves one way as it grows."""
    there = sum(share for part, share in parts if part.name == material.name)
    if not TRACE < there < 1.0:
        return adding

    def ph_without(amount: float) -> float:
        return predict(adjusted(parts, material, -amount), substances, dilution).ph

    rising = ph_without(0.0) < target_ph
    if (ph_without(there) < target_ph) == rising:
        return adding
    low, high = 0.0, there
    while high - low > _CLOSE:
        middle = (low + high) / 2.0
        low, high = (middle, high) if (ph_without(middle) < target_ph) == rising else (low, middle)
    return Adjustment(material.name, -(low + high) / 2.0, None)


def amounts_of_step(
    bench: Bench, composition: Composition, step: float, dilution: float | None = None
) -> tuple[Adjustment, ...]:
    """What a step of pH means in each acid or base that a composition uses.

    Args:
        bench: the materials and what they contain.
        composition: what is used; the rest of it stays as it is.
        step: how far the pH is moved, such as −0.1.
        dilution: mass of bar in a mass of dispersion [kg/kg]; by default that of the brief.

    Returns:
        For each acid or base in use the amount to add to a kilogram of the mix [kg], below nothing
        for what is to be left out of it; or why none of it will do. Empty where none is in use.

    Raises:
        KeyError: when the composition names a material that is not on the shelf.
    """
    parts = bench.parts_of(composition)
    water = bench.brief.dilution if dilution is None else dilution
    used = (material for material, share in parts if share > TRACE)
    acting = [
        one for one in adjusters(used, bench.substances) if ADJUSTING.intersection(one.classes)
    ]
    if not acting:
        return ()
    target = predict(parts, bench.substances, water).ph + step
    return changes_for(parts, bench.substances, water, target, acting)


def changed(composition: Composition, material: str, amount: float) -> Composition:
    """A composition with more of a material in each kilogram, or less, made whole again.

    Args:
        composition: shares that add to one.
        material: its name.
        amount: [kg per kg of the mix], below nothing for less.
    """
    parts = dict(composition.parts)
    parts[material] = parts.get(material, 0.0) + amount
    whole = 1.0 + amount
    return replace(
        composition, parts={name: max(share, 0.0) / whole for name, share in parts.items()}
    )


def newly_broken(bench: Bench, before: Composition, after: Composition) -> tuple[Verdict, ...]:
    """What the rules say that a composition keeps and its changed form breaks.

    Raises:
        KeyError: when a composition names a material that is not on the shelf.
    """
    kept = {verdict.rule.id for verdict in judge(bench, before) if verdict.kept}
    return tuple(
        verdict for verdict in judge(bench, after) if not verdict.kept and verdict.rule.id in kept
    )


def by_a_hair(verdict: Verdict) -> bool:
    """Whether a limit is missed by so little of it that no scale would show it; never one of law.

    What is left out or added on top moves the shares of all the rest by a hair, and so past the
    limits at which a cheapest composition stands.
    """
    rule, room = verdict.rule, verdict.room
    if rule.kind is Kind.LAW or room is None or not isinstance(rule, Limited):
        return False
    limit = rule.low if room == verdict.room_low else rule.high
    return limit is not None and -room <= HAIR * abs(limit)


def curve_of(
    parts: Parts,
    substances: Mapping[str, Substance],
    dilution: float,
    titrant: Material,
    target_ph: float | None,
) -> tuple[tuple[float, float], ...]:
    """The pH against how much of a material a kilogram of mix holds, from none of it upwards.

    The curve goes past what the mix holds now and what the target needs, twice as far.

    Args:
        parts: each material and its share of the mix [kg/kg].
        substances: every substance they and the titrant contain, by INCI name.
        dilution: mass of bar in a mass of dispersion [kg/kg].
        titrant: what there is more or less of; the rest stays as it is.
        target_ph: the pH that is aimed at, if any.

    Returns:
        Amount beside the rest of what is now a kilogram of mix [kg], and pH, at each point.
    """
    there = sum(share for part, share in parts if part.name == titrant.name)
    if there >= 1.0:
        return ()
    rest = [(part, share / (1.0 - there)) for part, share in parts if part.name != titrant.name]
    end = _curve_end(parts, substances, dilution, titrant, target_ph, there=there)
    amounts = [end * number / (_POINTS - 1) for number in range(_POINTS)]
    scaled = [amount / (1.0 - there) for amount in amounts]
    points = titration_curve(rest, substances, dilution, titrant, scaled)
    return tuple((amount, ph) for amount, (_, ph) in zip(amounts, points, strict=True))


def _curve_end(
    parts: Parts,
    substances: Mapping[str, Substance],
    dilution: float,
    titrant: Material,
    target_ph: float | None,
    *,
    there: float,
) -> float:
    held: Sequence[float] = [there]
    if target_ph is not None:
        (change,) = changes_for(parts, substances, dilution, target_ph, [titrant])
        held = [there, there + (change.amount or 0.0)]
    elif there <= TRACE:
        ph = predict(parts, substances, dilution).ph
        ways = (
            dose_for(parts, substances, dilution, ph + step, [titrant])[0].amount
            for step in (-_CURVE_DOWN_TO, _CURVE_DOWN_TO)
        )
        held = [amount / 2.0 for amount in ways if amount is not None]
    return max(2.0 * max(held, default=0.0), _SHORTEST_CURVE)
