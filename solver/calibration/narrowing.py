"""What a reading of a whole bar says of the bar and of each of its materials.

The residual alkalinities of its materials, each within what is known of it, have to add to what
the reading leaves. That narrows the bar's own range, and a material's wherever the others cannot
make up for it. It is all counted with the contents at their typical shares.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf

from ...constraints.acidity.charge import equilibrium, in_water
from ...constraints.acidity.coefficients import Parts
from ...constraints.model.material import Material, Span
from ...constraints.model.substance import Substance

_SAME = 1e-9  # [mol/kg]; ends that differ by less were not narrowed


@dataclass(frozen=True, slots=True)
class Narrowed:
    """What a reading of the bar leaves of a material's residual alkalinity [mol/kg].

    Args:
        material: its name.
        before: what was known; ``None`` where nothing was.
        after: what can still be.
    """

    material: str
    before: Span | None
    after: Span


def possible(parts: Parts, excess: Span) -> Span | None:
    """What base beyond the typical a bar can hold, by its materials and by its reading.

    Args:
        parts: each material and its share of the bar [kg/kg].
        excess: base beyond the typical that the reading leaves [mol/kg of bar].

    Returns:
        [mol/kg of bar], or ``None`` where no lots within what is known of them read so.
    """
    low = sum(share * _room(one)[0] for one, share in parts if share > 0.0)
    high = sum(share * _room(one)[1] for one, share in parts if share > 0.0)
    least, most = max(low, excess.low), min(high, excess.high)
    return None if least > most else Span(least, min(max(excess.typical, least), most), most)


def narrowed(parts: Parts, excess: Span) -> tuple[Narrowed, ...]:
    """The materials of which a reading of the bar leaves less than was known.

    Args:
        parts: each material and its share of the bar [kg/kg].
        excess: base beyond the typical that the reading leaves [mol/kg of bar].
    """
    used = [(one, share) for one, share in parts if share > 0.0]
    rooms = [(share * _room(one)[0], share * _room(one)[1]) for one, share in used]
    found = (_one(number, used, rooms, excess) for number in range(len(used)))
    return tuple(one for one in found if one is not None)


def _room(material: Material) -> tuple[float, float]:
    """How far its residual alkalinity may lie from what counts as typical."""
    span = material.alkalinity
    return (-inf, inf) if span is None else (span.low - span.typical, span.high - span.typical)


def _one(
    number: int,
    used: Sequence[tuple[Material, float]],
    rooms: Sequence[tuple[float, float]],
    excess: Span,
) -> Narrowed | None:
    material, share = used[number]
    others = [room for other, room in enumerate(rooms) if other != number]
    least = (excess.low - sum(high for _, high in others)) / share
    most = (excess.high - sum(low for low, _ in others)) / share
    low, high = _room(material)
    ends = max(low, least), min(high, most)
    if ends[0] > ends[1] or (ends[0] <= low + _SAME and ends[1] >= high - _SAME):
        return None
    known = material.alkalinity
    typical = 0.0 if known is None else known.typical
    middle = sum(ends) / 2.0 if known is None else min(max(0.0, ends[0]), ends[1])
    after = Span(*(typical + end for end in (ends[0], middle, ends[1])))
    return Narrowed(material.name, known, after)


def bar_range(
    parts: Parts, substances: Mapping[str, Substance], dilution: float, beyond: Span
) -> Span:
    """The pH of a bar that holds so much base beyond the typical.

    Args:
        parts: each material and its share of the bar [kg/kg].
        substances: every substance they contain, by INCI name.
        dilution: mass of bar in a mass of dispersion [kg/kg].
        beyond: least, most likely and most [mol/kg of bar].
    """
    mix = in_water(parts, substances, dilution)
    ends = (beyond.low, beyond.typical, beyond.high)
    return Span(
        *(
            equilibrium(
                replace(
                    mix,
                    fixed_charge=mix.fixed_charge + dilution * end,
                    fixed_squares=mix.fixed_squares + dilution * abs(end),
                )
            )[0]
            for end in ends
        )
    )
