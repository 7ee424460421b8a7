"""What temperature comes out when hot and cold are mixed, and what to change when it misses.

What each material holds of heat rises with its temperature in straight lines: its heat capacity all
the way, and its heat of melting over the degrees in which it melts. The sum of such lines is one
too, so the temperature at which the heat brought in is all accounted for is found exactly, on a
straight piece between two breakpoints or on a step of the sum.

Heat lost to the room while mixing and heat of dissolving are left out: for a few minutes of mixing
the answer errs on the hot side. Waxes may also stay liquid for a while below their melting point.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from math import fsum

from ...constraints.market.practice import figure
from ...constraints.model.material import Material
from ...constraints.values.units import Dimension


@dataclass(frozen=True, slots=True)
class Body:
    """A mass with a temperature of its own.

    Args:
        name: of the material, or "bowl".
        mass: [kg].
        start: temperature before mixing [°C].
        specific: heat capacity [kJ/(kg·K)].
        melts_at: end of melting [°C]; ``None`` for what does not melt on the bench.
        latent: heat of melting [kJ/kg].
        melts_over: degrees up to ``melts_at`` over which it melts [K]; with 0 it is still solid
            at ``melts_at`` and takes up all its heat of melting there.
        low: least heat capacity it may have, where it is not known [kJ/(kg·K)].
        high: greatest heat capacity it may have.
    """

    name: str
    mass: float
    start: float
    specific: float
    melts_at: float | None = None
    latent: float = 0.0
    melts_over: float = 0.0
    low: float | None = None
    high: float | None = None

    @property
    def known(self) -> bool:
        """Whether its heat figures are known."""
        return self.low is None and self.high is None

    def molten(self, celsius: float) -> float:
        """Share that is molten at a temperature; 1 for what does not melt on the bench."""
        if self.melts_at is None or celsius > self.melts_at:
            return 1.0
        if self.melts_over == 0.0:
            return 0.0
        return min(1.0, max(0.0, 1.0 - (self.melts_at - celsius) / self.melts_over))

    def heat(self, celsius: float) -> float:
        """Heat held at a temperature, over the solid at 0 °C [kJ]."""
        melting = self.latent * self.molten(celsius) if self.melts_at is not None else 0.0
        return self.mass * (self.specific * celsius + melting)


class Miss(StrEnum):
    """How a mix misses its window: waxes set before all is in, or it is too hot for cool-down."""

    WAX_SETS = "wax sets"
    TOO_HOT = "too hot"


@dataclass(frozen=True, slots=True)
class Mixing:
    """The temperature of a mix and how it sits in its window.

    Args:
        temperature: of the mix [°C].
        low: the same with what is not known at its worst on the cold side [°C].
        high: and on the hot side [°C].
        unknown: materials without heat figures.
        unknown_share: their share of the mass mixed, bowl left out [kg/kg].
        setting: (wax, share solid) for every wax that is not all molten in the mix.
        melts_by: highest end of melting of what went in molten, the lower edge of the window [°C].
        add_below: the upper edge: the lowest limit of what goes in at cool-down [°C].
        misses: which edges the temperature lies beyond; the ways below say what would bring it to
            the edge, and are ``None`` where that way does not lead there.
        wait_until: let the mix cool to this before cool-down [°C].
        bowl_at: warm the bowl to this beforehand [°C].
        heat_to: heat what goes in hot to this instead [°C].
        warm_to: warm what goes in cold to this beforehand [°C].
        hold_back: of what goes in hot but is liquid cold, leave so much at room temperature [kg].
    """

    temperature: float
    low: float
    high: float
    unknown: tuple[str, ...]
    unknown_share: float
    setting: tuple[tuple[str, float], ...]
    melts_by: float | None
    add_below: float | None
    misses: tuple[Miss, ...]
    wait_until: float | None
    bowl_at: float | None
    heat_to: float | None
    warm_to: float | None
    hold_back: float | None


def body_of(material: Material, mass_kg: float, start: float) -> Body:
    """A material as a body; without heat figures of its own it takes those of common practice."""
    heat = material.heat
    if heat is None:
        span = figure("specific heat not known", Dimension.HEAT).span
        return Body(material.name, mass_kg, start, span.typical, low=span.low, high=span.high)
    width = figure("melting range", Dimension.RATIO).span.typical
    melts_over = width if heat.melts_at is not None else 0.0
    return Body(
        material.name, mass_kg, start, heat.specific, heat.melts_at, heat.latent, melts_over
    )


def common_temperature(bodies: Sequence[Body]) -> float:
    """The temperature that bodies brought together come to [°C].

    Raises:
        ValueError: when together they have no mass that takes up heat.

    >>> water = Body("hot water", 1.0, 60.0, 4.184), Body("cold water", 2.0, 15.0, 4.184)
    >>> round(common_temperature(water), 9)
    30.0
    """
    return temperature_at(bodies, fsum(body.heat(body.start) for body in bodies))


def temperature_at(bodies: Sequence[Body], heat_kj: float) -> float:
    """The one temperature at which bodies together hold so much heat, over solid at 0 °C [°C].

    Raises:
        ValueError: when together they have no mass that takes up heat.
    """
    slope = fsum(body.mass * body.specific for body in bodies)
    if slope <= 0:
        message = "nothing here takes up heat"
        raise ValueError(message)
    breaks = sorted({celsius for body in bodies for celsius in _breaks(body)})
    below: tuple[float, float] | None = None
    for celsius in breaks:
        before = _held(bodies, celsius)
        if heat_kj <= before:
            return _between(below, (celsius, before), heat_kj, slope)
        after = _molten_through(bodies, celsius)
        if heat_kj <= after:
            return celsius
        below = (celsius, after)
    celsius, held = below or (0.0, _held(bodies, 0.0))
    return celsius + (heat_kj - held) / slope


def _breaks(body: Body) -> Iterable[float]:
    if body.melts_at is None or body.mass == 0.0:
        return ()
    return (body.melts_at - body.melts_over, body.melts_at)


def _held(bodies: Iterable[Body], celsius: float) -> float:
    return fsum(body.heat(celsius) for body in bodies)


def _between(
    below: tuple[float, float] | None, above: tuple[float, float], heat_kj: float, slope: float
) -> float:
    if below is None:
        return above[0] - (above[1] - heat_kj) / slope
    rise = above[1] - below[1]
    return below[0] + (above[0] - below[0]) * (heat_kj - below[1]) / rise if rise else above[0]


def mixing(
    bodies: Sequence[Body],
    room: float,
    *,
    bowl: Body | None = None,
    add_below: float | None = None,
    hottest: float | None = None,
) -> Mixing:
    """The temperature of a mix, whether it is in its window, and what would bring it there.

    Args:
        bodies: what is mixed before cool-down; those warmer than the room were heated.
        room: room temperature [°C].
        bowl: what it is mixed in.
        add_below: the lowest limit of what goes in at cool-down [°C].
        hottest: hottest that is sensible to heat to [°C]; by default that of common practice.

    Raises:
        ValueError: when nothing is mixed.
    """
    everything = [*bodies, bowl] if bowl else list(bodies)
    celsius = common_temperature(everything)
    hot = [body for body in bodies if body.start > room]
    cold = [body for body in bodies if body.start <= room]
    melts_by = max((body.melts_at for body in hot if body.melts_at is not None), default=None)
    sets = melts_by is not None and celsius < melts_by
    too_hot = add_below is not None and celsius > add_below
    top = figure("hottest melt", Dimension.TEMPERATURE).span.typical if hottest is None else hottest
    edge = melts_by if sets else add_below if too_hot else None
    return Mixing(
        temperature=celsius,
        low=_worst(everything, celsius, hot_side=False),
        high=_worst(everything, celsius, hot_side=True),
        unknown=tuple(body.name for body in bodies if not body.known),
        unknown_share=_unknown_share(bodies),
        setting=tuple((b.name, 1.0 - b.molten(celsius)) for b in hot if b.molten(celsius) < 1.0),
        melts_by=melts_by,
        add_below=add_below,
        misses=(Miss.WAX_SETS,) * sets + (Miss.TOO_HOT,) * too_hot,
        wait_until=add_below if too_hot else None,
        bowl_at=_bowl_at(bodies, bowl, edge, top) if bowl and sets else None,
        heat_to=_start_for(hot, everything, edge, (melts_by, top)),
        warm_to=_start_for(cold, everything, edge, (room, top)) if sets else None,
        hold_back=_hold_back(everything, hot, edge, room) if too_hot and not sets else None,
    )


def _molten_through(bodies: Iterable[Body], celsius: float) -> float:
    """Heat held at a temperature once what melts just there has melted [kJ]."""
    return fsum(body.heat(celsius) + _step(body, celsius) for body in bodies)


def _step(body: Body, celsius: float) -> float:
    """Heat taken up at this one temperature by what melts all at once [kJ]."""
    return body.mass * body.latent if body.melts_at == celsius and not body.melts_over else 0.0


def _bowl_at(bodies: Sequence[Body], bowl: Body, edge: float | None, top: float) -> float | None:
    if edge is None or bowl.mass * bowl.specific <= 0.0:
        return None
    wanting = _molten_through(bodies, edge) - fsum(body.heat(body.start) for body in bodies)
    celsius = edge + wanting / (bowl.mass * bowl.specific)
    return celsius if celsius <= top else None


def _start_for(
    group: Sequence[Body],
    everything: Sequence[Body],
    edge: float | None,
    within: tuple[float | None, float],
) -> float | None:
    """Temperature a group has to start at for the mix to come to the edge, if it is sensible."""
    if edge is None or not group:
        return None
    celsius = start_for(group, everything, edge)
    least, most = within
    return celsius if (least is None or celsius >= least) and celsius <= most else None


def start_for(group: Sequence[Body], everything: Sequence[Body], edge: float) -> float:
    """Temperature that a group has to start at for the mix to come to an edge [°C]."""
    others = fsum(body.heat(body.start) for body in everything if body not in group)
    return temperature_at(group, _molten_through(everything, edge) - others)


def _hold_back(
    everything: Sequence[Body], hot: Sequence[Body], edge: float | None, room: float
) -> float | None:
    liquid = [body for body in hot if body.melts_at is None or body.melts_at <= room]
    spare = fsum(body.heat(body.start) - body.heat(room) for body in liquid)
    if edge is None or spare <= 0.0:
        return None
    too_much = fsum(body.heat(body.start) for body in everything) - _held(everything, edge)
    share = too_much / spare
    return share * fsum(body.mass for body in liquid) if share <= 1.0 else None


def _worst(bodies: Sequence[Body], celsius: float, *, hot_side: bool) -> float:
    """What is warmer than the mix pulls it up the more heat it holds, what is colder down."""

    def worse(body: Body) -> Body:
        end = body.high if (body.start > celsius) == hot_side else body.low
        return body if end is None else replace(body, specific=end)

    return common_temperature([worse(body) for body in bodies])


def _unknown_share(bodies: Sequence[Body]) -> float:
    mass = fsum(body.mass for body in bodies)
    return fsum(body.mass for body in bodies if not body.known) / mass if mass else 0.0
