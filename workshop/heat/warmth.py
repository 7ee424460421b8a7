"""How warm each phase of a batch is, what they come to together, and what is added too hot."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ...constraints.market.practice import figure
from ...constraints.model.brief import Bench
from ...constraints.model.material import Material, Phase
from ...constraints.values.units import Dimension
from .heat import Body, Miss, Mixing, body_of, common_temperature, mixing
from .warming import Warmed, Way, warmed_together

_HEATED = (Phase.WATER, Phase.MELT)


@dataclass(frozen=True, slots=True)
class Warmth:
    """How warm the work is.

    Args:
        heat_to: temperature that water and melt are heated to [°C].
        mixing: the mix before cool-down.
        finished: the mix after cool-down, its additions at room temperature [°C].
        overheated: (material, its limit [°C], temperature it meets [°C]) for what melts, or goes
            into the mix before cool-down, above its own limit.
        moved: the same for what would be dissolved in the hot water; it is reckoned with at
            cool-down instead.
        together: where wax sets and no way of ``mixing`` is enough by itself, several of them.
        cold_below: the room is colder than is usual to work in [°C]; ``None`` where it is not.
    """

    heat_to: float
    mixing: Mixing
    finished: float
    overheated: tuple[tuple[str, float, float], ...]
    moved: tuple[tuple[str, float, float], ...]
    together: Warmed | None = None
    cold_below: float | None = None


def warmth(
    bench: Bench,
    masses: Mapping[str, float],
    heat_to: float | None = None,
    added: Mapping[str, Material] | None = None,
) -> Warmth | None:
    """How warm the work gets, or ``None`` where nothing is heated or nothing known melts.

    The brief's workshop says of the vessel: ``vessel`` its mass [kg], ``vessel_heat`` its
    heat capacity [kJ/(kg·K)], by default that of steel, and ``vessel_at`` its temperature [°C], by
    default that of the room. Without a mass it is left out of the heat balance.

    Args:
        bench: the materials, the room and the vessel.
        masses: material -> mass [kg].
        heat_to: temperature that water and melt are heated to [°C]; by default the brief's
            ``heat_to``, else a little above the highest end of melting (common practice).
        added: each material in the phase in which it goes in; by default in its own.

    Raises:
        KeyError: when the shelf has no such material.
    """
    materials = added or {name: bench.material(name) for name in masses}
    start = _heat_to(bench, materials.values(), heat_to)
    if start is None:
        return None
    moved = tuple(_too_hot(materials.values(), (Phase.WATER,), start))
    late = {name for name, _, _ in moved}
    late |= {name for name, material in materials.items() if material.phase is Phase.COOL_DOWN}
    room, vessel = bench.brief.room, _vessel(bench)
    early = [
        body_of(material, masses[name], start if material.phase in _HEATED else room)
        for name, material in materials.items()
        if name not in late
    ]
    last = [body_of(materials[name], masses[name], room) for name in materials if name in late]
    edges = (materials[name].add_below for name in late)
    edge = min((limit for limit in edges if limit is not None), default=None)
    mixed = mixing(early, room, bowl=vessel, add_below=edge)
    met = mixed.temperature if edge is None else min(mixed.temperature, edge)
    waiting = [replace(body, start=met) for body in (*early, *((vessel,) if vessel else ()))]
    there = [material for name, material in materials.items() if name not in late]
    bearable = _bearable(mixed, there, start)
    cold = figure("cold room", Dimension.TEMPERATURE).span.typical
    return Warmth(
        heat_to=start,
        mixing=bearable,
        finished=common_temperature(waiting + last),
        overheated=(
            *_too_hot(there, (Phase.MELT,), start),
            *_too_hot(there, (Phase.POWDER,), mixed.temperature),
        ),
        moved=moved,
        together=_together(bearable, early, vessel, _most(there, start)),
        cold_below=cold if room < cold else None,
    )


def _together(
    mixed: Mixing, early: Sequence[Body], vessel: Body | None, most: Mapping[Way, float]
) -> Warmed | None:
    """Several warmings, where wax sets and none of them does alone."""
    alone = (mixed.warm_to, mixed.bowl_at, mixed.heat_to)
    if Miss.WAX_SETS not in mixed.misses or mixed.melts_by is None or any(alone):
        return None
    hottest = max(body.start for body in early)
    groups = {
        Way.POWDERS: [body for body in early if body.start < hottest],
        Way.BOWL: [vessel] if vessel else [],
        Way.MELT: [body for body in early if body.start == hottest],
    }
    return warmed_together(groups, (), mixed.melts_by, most)


def _most(materials: Iterable[Material], start: float) -> Mapping[Way, float]:
    """The hottest that each may be, by what its materials bear and by what is sensible."""
    top = figure("hottest melt", Dimension.TEMPERATURE).span.typical
    hot, cold = _borne(materials, start)
    return {
        Way.POWDERS: min(top, top if cold is None else cold),
        Way.BOWL: top,
        Way.MELT: min(top, top if hot is None else hot),
    }


def _heat_to(bench: Bench, materials: Iterable[Material], asked: float | None) -> float | None:
    """What is heated goes so hot; ``None`` where nothing is, or nobody knows how hot it has to."""
    heated = [material for material in materials if material.phase in _HEATED]
    given = bench.brief.workshop.heat_to if asked is None else asked
    if given is not None or not heated:
        return given if heated else None
    ends = (m.heat.melts_at for m in heated if m.heat and m.heat.melts_at is not None)
    end = max(ends, default=None)
    if end is None:
        return None
    margin = figure("melt above", Dimension.RATIO).span.typical
    return max(end, min(end + margin, figure("hottest melt", Dimension.TEMPERATURE).span.typical))


def _bearable(mixed: Mixing, materials: Iterable[Material], start: float) -> Mixing:
    """Without the ways that would warm a material beyond what it bears."""
    hot, cold = _borne(materials, start)
    return replace(mixed, heat_to=_up_to(mixed.heat_to, hot), warm_to=_up_to(mixed.warm_to, cold))


def _borne(materials: Iterable[Material], start: float) -> tuple[float | None, float | None]:
    """The hottest that what is heated, and what is not, may be [°C]; ``None`` without a limit."""
    hot: list[float] = []
    cold: list[float] = []
    for material in materials:
        if material.add_below is not None:
            (hot if material.phase in _HEATED else cold).append(material.add_below)
    return min((limit for limit in hot if limit >= start), default=None), min(cold, default=None)


def _up_to(celsius: float | None, most: float | None) -> float | None:
    return None if celsius is None or (most is not None and celsius > most) else celsius


def _vessel(bench: Bench) -> Body | None:
    workshop = bench.brief.workshop
    if workshop.vessel is None:
        return None
    steel = figure("specific heat of steel", Dimension.HEAT).span.typical
    return Body(
        "vessel",
        workshop.vessel,
        bench.brief.room if workshop.vessel_at is None else workshop.vessel_at,
        steel if workshop.vessel_heat is None else workshop.vessel_heat,
    )


def _too_hot(
    materials: Iterable[Material], phases: tuple[Phase, ...], met: float
) -> Iterator[tuple[str, float, float]]:
    for material in materials:
        limit = material.add_below
        if material.phase in phases and limit is not None and met > limit:
            yield material.name, limit, met
