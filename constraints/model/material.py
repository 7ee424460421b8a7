"""A raw material: what is bought and weighed, and what it is made of."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from ..values.problem import Source


class Form(StrEnum):
    """The state a material is in on the bench at room temperature."""

    SOLID = "solid"
    PASTE = "paste"
    LIQUID = "liquid"


class Phase(StrEnum):
    """When a material goes into the vessel, in working order."""

    WATER = "water"
    MELT = "melt"
    POWDER = "powder"
    COOL_DOWN = "cool-down"


@dataclass(frozen=True, slots=True)
class Span:
    """A figure known as a typical value within a range; all three alike where no range is known."""

    low: float
    typical: float
    high: float


@dataclass(frozen=True, slots=True)
class Heat:
    """What a material needs to be warmed and melted.

    Args:
        specific: heat capacity [kJ/(kg·K)].
        melts_at: end of melting [°C]; ``None`` for what does not melt on the bench.
        latent: heat of melting [kJ/kg]; 0 where ``melts_at`` is ``None``.
        source: where the figures come from.
    """

    specific: float
    melts_at: float | None
    latent: float
    source: Source


@dataclass(frozen=True, slots=True)
class Material:
    """A raw material as it is bought.

    Args:
        name: generic chemical name and grade, lower case, never a brand.
        form: solid, paste or liquid at room temperature.
        phase: when it goes into the vessel.
        classes: what the whole material does in the bar.
        tags: properties to choose or avoid by ("sulfate", "animal origin", …).
        contents: substance -> share of the material [kg/kg].
        dose: usual share of a bar [kg/kg] as its suppliers advise, or ``None``.
        add_below: highest temperature at which it may go in [°C], or ``None``.
        alkalinity: base that its substances do not account for, as strong base [mol/kg];
            negative for acid, ``None`` where it is not known.
        buffer: charge taken up per pH step that its substances do not account for [mol/(kg·pH)].
        works_below_ph: highest pH at which a preservative does its work, or ``None``.
        density: [kg/L], or ``None``.
        heat: ``None`` where no figures are at hand.
        hazards: hazard statements of the material as supplied ("H318", …), and "dust".
        source: where the entry comes from.
        carried: content -> the content that it came along with and is no ingredient apart from:
            the moisture of a powder, the water of a crystal.
    """

    name: str
    form: Form
    phase: Phase
    classes: tuple[str, ...]
    tags: tuple[str, ...]
    contents: Mapping[str, Span]
    dose: tuple[float, float] | None
    add_below: float | None
    alkalinity: Span | None
    buffer: float
    works_below_ph: float | None
    density: float | None
    heat: Heat | None
    hazards: tuple[str, ...]
    source: Source
    carried: Mapping[str, str] = field(default_factory=dict)

    def typical_contents(self) -> Iterator[tuple[str, float]]:
        """Substance and its typical share [kg/kg], in declared order."""
        return ((inci, span.typical) for inci, span in self.contents.items())
