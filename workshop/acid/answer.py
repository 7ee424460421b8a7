"""The acidity of a bar: its pH, what that rests on, and what brings it where it should be."""

from collections.abc import Iterable
from dataclasses import dataclass

from ...constraints.acidity.adjusting import Adjustment, adjusters
from ...constraints.acidity.coefficients import Parts
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.material import Material
from ...constraints.rules.acidity import Acidity, band_of
from ...constraints.values.told import Told
from .account import Account, account_of
from .change import (
    amounts_of_step,
    by_a_hair,
    changed,
    changes_for,
    curve_of,
    newly_broken,
)

STEP = 0.1
"""The step of pH that a maker thinks in."""


@dataclass(frozen=True, slots=True)
class Dose:
    """What a material on the shelf can do towards a target.

    Args:
        change: how much more or less of it, or why none will do.
        breaks: the rules that the bar keeps now and would break with it, by name.
        hair: those of them that would be missed by a hair.
    """

    change: Adjustment
    breaks: tuple[str, ...] = ()
    hair: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, repr=False)
class Answer(Told):
    """The acidity of a composition.

    Args:
        account: its pH and what that rests on.
        band: the brief's own rule on pH, or ``None``.
        target: the pH to reach, or ``None`` where neither the asker nor the brief names one.
        asked: whether the asker named it; otherwise it is the middle of the brief's band.
        doses: what each acid, base and buffer salt that can be had would do towards the target.
        step_down: what a tenth of a pH downwards means in each acid or base in use.
        step_up: the same upwards.
        titrant: the material that the curve is drawn for, or ``None`` where there is none.
        held: how much of it the mix holds now [kg/kg].
        curve: how much of it a kilogram of mix would hold [kg], the rest staying, and the pH.
    """

    account: Account
    band: Acidity | None
    target: float | None
    asked: bool
    doses: tuple[Dose, ...]
    step_down: tuple[Adjustment, ...]
    step_up: tuple[Adjustment, ...]
    titrant: str | None
    held: float
    curve: tuple[tuple[float, float], ...]


def acidity(
    bench: Bench, composition: Composition, aim: float | None = None, using: str | None = None
) -> Answer:
    """Predict the acidity of a composition and say what would change it.

    Args:
        bench: the materials and what they contain; pH is read at the dilution of its brief.
        composition: what is used.
        aim: the pH to reach; without it the middle of the brief's band.
        using: the material to draw the curve for; without it an acid or base in use, else the first
            on the shelf that reaches the target.

    Raises:
        KeyError: when ``using`` or a material of the composition is not on the shelf.
        ValueError: when the dilution is not in (0, 1).
    """
    parts, dilution = bench.parts_of(composition), bench.brief.dilution
    band = band_of(bench.brief)
    target = _middle(band) if aim is None else aim
    doses = () if target is None else _doses(bench, composition, parts, target)
    titrant = _titrant(bench, parts, doses) if using is None else bench.material(using)
    curve = curve_of(parts, bench.substances, dilution, titrant, target) if titrant else ()
    name = titrant.name if titrant else None
    return Answer(
        account=account_of(parts, bench.substances, dilution),
        band=band,
        target=target,
        asked=aim is not None,
        doses=doses,
        step_down=amounts_of_step(bench, composition, -STEP),
        step_up=amounts_of_step(bench, composition, STEP),
        titrant=name,
        held=0.0 if name is None else composition.parts.get(name, 0.0),
        curve=curve,
    )


def _middle(band: Acidity | None) -> float | None:
    ends = [end for end in (band.low, band.high) if end is not None] if band else []
    return sum(ends) / len(ends) if ends else None


def shelf_adjusters(bench: Bench) -> tuple[Material, ...]:
    """The acids, bases and buffer salts that can be had."""
    return adjusters((item.material for item in bench.shelf if item.available), bench.substances)


def _doses(bench: Bench, composition: Composition, parts: Parts, target: float) -> tuple[Dose, ...]:
    found = changes_for(
        parts, bench.substances, bench.brief.dilution, target, shelf_adjusters(bench)
    )
    return tuple(_dose(bench, composition, change) for change in found)


def _dose(bench: Bench, composition: Composition, change: Adjustment) -> Dose:
    if change.amount is None:
        return Dose(change)
    after = changed(composition, change.material, change.amount)
    broken = newly_broken(bench, composition, after)
    names = tuple(verdict.rule.id for verdict in broken)
    return Dose(change, names, tuple(one.rule.id for one in broken if by_a_hair(one)))


def _titrant(bench: Bench, parts: Parts, doses: Iterable[Dose]) -> Material | None:
    """What is used most of those in use for their acid or base; else what reaches the target."""
    able = shelf_adjusters(bench)
    in_use = [(share, material) for material, share in parts if material in able and share > 0.0]
    acting = [pair for pair in in_use if {"acid", "base"}.intersection(pair[1].classes)]
    if acting:
        return max(acting, key=lambda pair: pair[0])[1]
    reaching = (dose.change.material for dose in doses if dose.change.amount is not None)
    name = next(reaching, able[0].name if able else None)
    return None if name is None else bench.material(name)
