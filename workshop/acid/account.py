"""What the pH of a bar rests on: who pulls it where, what is uncertain, what works in it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ...constraints.acidity.activity import undissociated_share
from ...constraints.acidity.adjusting import acid_to_amine, pulls
from ...constraints.acidity.charge import equilibrium, in_water, net_charge
from ...constraints.acidity.coefficients import Parts
from ...constraints.acidity.prediction import Prediction, predict
from ...constraints.model.material import Material, Span
from ...constraints.model.substance import Substance

PRESERVING = frozenset({"preservative", "preservative booster"})
UNKNOWN_STEP = 0.01
"""The base left over that is tried where none is known [mol/kg]: a round figure to compare by."""


@dataclass(frozen=True, slots=True)
class Pull:
    """What one material does to the pH of a mix.

    Args:
        material: the material.
        share: of the mix [kg/kg].
        pull: its charge at the pH of the mix [mol per kg of mix], positive towards a base.
        ph_without: pH if its place in the mix were taken by something that pulls at nothing.
        ends: pH with the base left over in it at its low and at its high end, all others at their
            typical value; where that base is not known, with none and with ``UNKNOWN_STEP``.
        known: whether the base left over in it is known.
    """

    material: Material
    share: float
    pull: float
    ph_without: float
    ends: tuple[float, float]
    known: bool


@dataclass(frozen=True, slots=True)
class Preserving:
    """An acid preservative at the pH of a mix.

    Args:
        substance: its INCI name, as an acid or a salt.
        share: of the mix [kg/kg], as it is added.
        undissociated: part of it that has kept its protons and works.
        works_below_ph: the highest pH at which its material is said to work, or ``None``.
    """

    substance: str
    share: float
    undissociated: float
    works_below_ph: float | None


@dataclass(frozen=True, slots=True)
class Account:
    """A mix in water and what its pH rests on.

    Args:
        prediction: the pH.
        pulls: of each material in use, downwards first.
        preserving: the acid preservatives in use.
        acid_to_amine: equivalents of acid for each amidoamine [mol/mol]; ``None`` without one.
        hold: strong base for a tenth of a pH upwards [mol per kg of mix].
    """

    prediction: Prediction
    pulls: tuple[Pull, ...]
    preserving: tuple[Preserving, ...]
    acid_to_amine: float | None
    hold: float


def account_of(parts: Parts, substances: Mapping[str, Substance], dilution: float) -> Account:
    """What the pH of a mix rests on.

    Args:
        parts: each material and its share of the mix [kg/kg], adding to one.
        substances: every substance they contain, by INCI name.
        dilution: mass of bar in a mass of dispersion [kg/kg].

    Raises:
        ValueError: when the dilution is not in (0, 1] or there is no water.
    """
    used = tuple((material, share) for material, share in parts if share > 0.0)
    found = predict(used, substances, dilution)
    pulled = pulls(used, substances, found.ph, found.ionic_strength)
    listed = [
        _pull(used, substances, dilution, number, pull) for number, (_, pull) in enumerate(pulled)
    ]
    return Account(
        prediction=found,
        pulls=tuple(sorted(listed, key=lambda one: (one.pull, one.material.name))),
        preserving=_preserving(used, substances, found),
        acid_to_amine=acid_to_amine(used, substances, found.ph, found.ionic_strength),
        hold=_hold(used, substances, dilution, found),
    )


def _pull(
    parts: Parts, substances: Mapping[str, Substance], dilution: float, number: int, pull: float
) -> Pull:
    material, share = parts[number]

    def ph_with(*instead: tuple[Material, float]) -> float:
        others = [*parts[:number], *instead, *parts[number + 1 :]]
        return equilibrium(in_water(others, substances, dilution))[0]

    span = material.alkalinity
    least, most = (0.0, UNKNOWN_STEP) if span is None else (span.low, span.high)
    ends = [
        ph_with((replace(material, alkalinity=Span(end, end, end)), share)) for end in (least, most)
    ]
    return Pull(material, share, pull, ph_with(), (ends[0], ends[1]), span is not None)


def _preserving(
    parts: Parts, substances: Mapping[str, Substance], found: Prediction
) -> tuple[Preserving, ...]:
    held: dict[str, float] = {}
    limits: dict[str, list[float]] = {}
    for material, share in parts:
        for inci, content in material.typical_contents():
            if _acid_preservative(substances[inci]):
                held[inci] = held.get(inci, 0.0) + share * content
                if material.works_below_ph is not None:
                    limits.setdefault(inci, []).append(material.works_below_ph)
    return tuple(
        Preserving(
            inci,
            share,
            _undissociated(substances[inci], found),
            min(limits.get(inci, ()), default=None),
        )
        for inci, share in held.items()
        if share > 0.0
    )


def _acid_preservative(substance: Substance) -> bool:
    groups = substance.ionisation
    acid = groups is not None and bool(groups.pka) and groups.top_charge == 0
    return acid and bool(PRESERVING.intersection(substance.classes))


def _undissociated(substance: Substance, found: Prediction) -> float:
    groups = substance.ionisation
    if groups is None:
        msg = f"{substance.inci} does not ionise"
        raise ValueError(msg)
    return undissociated_share(groups, found.ph, found.ionic_strength)


def _hold(
    parts: Parts, substances: Mapping[str, Substance], dilution: float, found: Prediction
) -> float:
    """Read off the charge a tenth higher, at the salt of the mix: a shade of base adds no more."""
    mix = in_water(parts, substances, dilution)
    return -net_charge(mix, found.ph + 0.1, found.ionic_strength) / dilution
