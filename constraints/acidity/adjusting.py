"""Bringing a bar to a pH: what pulls it up and down, and how much acid or base would do."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ..model.material import Material
from ..model.substance import Substance
from .activity import charge_of_substance
from .charge import equilibrium, in_water, net_charge
from .coefficients import WATER, Parts, charge_of_material

ADJUSTING = frozenset({"acid", "base", "buffer salt"})

_DOSE_STEP = 1e-12
_SAME_PH = 1e-6


class Obstacle(StrEnum):
    """Why no amount of a material brings a mix to a pH."""

    THERE = "already there"
    AWAY = "pulls the other way"
    WEAK = "too weak"


@dataclass(frozen=True, slots=True)
class Adjustment:
    """What a material can do for a mix that should reach a pH.

    Args:
        material: its name.
        amount: added on top of a kilogram of the mix [kg]; ``None`` where none will do.
        obstacle: why none will do, else ``None``.
    """

    material: str
    amount: float | None
    obstacle: Obstacle | None


def adjusters(
    materials: Iterable[Material], substances: Mapping[str, Substance]
) -> tuple[Material, ...]:
    """The materials that are there to move a pH.

    By their own classes, or because their dry matter is mostly acid, base or buffer salt: a trace
    of acid in an extract or a preservative makes none of them an acid to dose.
    """
    return tuple(
        material
        for material in materials
        if ADJUSTING.intersection(material.classes) or _mostly_adjusting(material, substances)
    )


def _mostly_adjusting(material: Material, substances: Mapping[str, Substance]) -> bool:
    dry = adjusting = 0.0
    for inci, share in material.typical_contents():
        dry += 0.0 if inci == WATER else share
        adjusting += share if ADJUSTING.intersection(substances[inci].classes) else 0.0
    return 2.0 * adjusting > dry


def adjusted(parts: Parts, material: Material, amount: float) -> Parts:
    """A mix with some of a material added on top, its shares again adding to one.

    Args:
        parts: each material and its share of the mix [kg/kg].
        material: what is added.
        amount: [kg per kg of the mix].
    """
    whole = 1.0 + amount
    known = [name.name for name, _ in parts]
    kept = [
        (part, (share + (amount if part.name == material.name else 0.0)) / whole)
        for part, share in parts
    ]
    return kept if material.name in known else [*kept, (material, amount / whole)]


def titration_curve(
    parts: Parts,
    substances: Mapping[str, Substance],
    dilution: float,
    titrant: Material,
    amounts: Sequence[float],
) -> tuple[tuple[float, float], ...]:
    """The pH against the amount of a material added on top of a mix.

    Args:
        parts: each material and its share of the mix [kg/kg].
        substances: every substance they contain, the titrant's too, by INCI name.
        dilution: mass of bar in a mass of dispersion [kg/kg], the same at every point.
        titrant: what is added.
        amounts: [kg per kg of the mix].

    Returns:
        amount and pH at each point.
    """
    return tuple(
        (amount, _ph(adjusted(parts, titrant, amount), substances, dilution)) for amount in amounts
    )


def _ph(parts: Parts, substances: Mapping[str, Substance], dilution: float) -> float:
    return equilibrium(in_water(parts, substances, dilution))[0]


def dose_for(
    parts: Parts,
    substances: Mapping[str, Substance],
    dilution: float,
    target_ph: float,
    candidates: Iterable[Material],
) -> tuple[Adjustment, ...]:
    """How much of each candidate, added on top of a mix, brings it to a pH.

    Args:
        parts: each material and its share of the mix [kg/kg].
        substances: every substance they and the candidates contain, by INCI name.
        dilution: mass of bar in a mass of dispersion [kg/kg].
        target_ph: the pH to reach.
        candidates: materials to try, each on its own; see `adjusters`.

    Raises:
        ValueError: when the dilution is not in (0, 1).
    """
    if not 0.0 < dilution < 1.0:
        msg = f"a bar is dispersed at a dilution between 0 and 1, not at {dilution}"
        raise ValueError(msg)
    ph, ionic_strength = equilibrium(in_water(parts, substances, dilution))
    found = []
    for material in candidates:
        alone = in_water([(material, 1.0)], substances, dilution)
        amount: float | None = None
        obstacle: Obstacle | None = None
        if abs(ph - target_ph) <= _SAME_PH:
            obstacle = Obstacle.THERE
        elif net_charge(alone, ph, ionic_strength) * (target_ph - ph) <= 0.0:
            obstacle = Obstacle.AWAY
        elif (equilibrium(alone)[0] - target_ph) * (target_ph - ph) <= 0.0:
            obstacle = Obstacle.WEAK
        else:
            amount = _amount(parts, substances, dilution, target_ph, material)
        found.append(Adjustment(material.name, amount, obstacle))
    return tuple(found)


def _amount(
    parts: Parts,
    substances: Mapping[str, Substance],
    dilution: float,
    target_ph: float,
    material: Material,
) -> float:
    """Bisection on its share of the whole: a pH curve has flats and cliffs that fool a secant."""
    rising = _ph(parts, substances, dilution) < target_ph
    low, high = 0.0, 1.0
    while high - low > _DOSE_STEP:
        share = (low + high) / 2.0
        ph = _ph(adjusted(parts, material, share / (1.0 - share)), substances, dilution)
        low, high = (share, high) if (ph < target_ph) == rising else (low, share)
    share = (low + high) / 2.0
    return share / (1.0 - share)


def pulls(
    parts: Parts, substances: Mapping[str, Substance], ph: float, ionic_strength: float
) -> tuple[tuple[str, float], ...]:
    """What each material pulls at a pH: its charge [mol per kg of mix], positive towards a base.

    At the pH of the mix the pulls and the water's own ions balance.

    Args:
        parts: each material and its share of the mix [kg/kg].
        substances: every substance they contain, by INCI name.
        ph: of the mix.
        ionic_strength: [mol/kg water].
    """
    return tuple(
        (material.name, share * charge_of_material(material, substances, ph, ionic_strength))
        for material, share in parts
    )


def acid_to_amine(
    parts: Parts, substances: Mapping[str, Substance], ph: float, ionic_strength: float
) -> float | None:
    """Equivalents of acid for each amidoamine, as far as the acids have given up protons at a pH.

    An amidoamine conditions only once an acid has given it a charge. Acid that other bases in the
    mix have taken is counted too: below 1 there is certainly too little of it.

    Args:
        parts: each material and its share of the mix [kg/kg].
        substances: every substance they contain, by INCI name.
        ph: of the mix.
        ionic_strength: [mol/kg water].

    Returns:
        [mol/mol], or ``None`` for a mix without an amidoamine.
    """
    acid = amine = 0.0
    for material, share in parts:
        for inci, content in material.typical_contents():
            substance = substances[inci]
            if "acid" in substance.classes:
                acid -= share * content * charge_of_substance(substance, ph, ionic_strength)
            if "amidoamine" in substance.classes:
                amine += share * content * _moles_per_kg(substance)
    return acid / amine if amine > 0.0 else None


def _moles_per_kg(substance: Substance) -> float:
    if substance.molar_mass is None:
        msg = f"{substance.inci} counts by the mole and has no molar mass"
        raise ValueError(msg)
    return 1000.0 / substance.molar_mass
