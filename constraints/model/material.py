"""A raw material: what is bought and weighed, and what it is made of."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from ..values.problem import Source
from ..values.told import Told


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


PRESERVATIVE = "preservative"
"""The class of what keeps microbes down."""


@dataclass(frozen=True, slots=True)
class Reading:
    """The pH that a material is said to give in water at 25 °C.

    Args:
        ph: least, usual and most.
        dilution: mass of material in a mass of its solution [kg/kg].
        source: who says so.
    """

    ph: Span
    dilution: float
    source: Source


@dataclass(frozen=True, slots=True, repr=False)
class Material(Told):
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
            negative for acid, ``None`` where it is not known. Where a reading is known it is the
            base with which that reading is predicted.
        buffer: charge taken up per pH step that its substances do not account for [mol/(kg·pH)].
        works_below_ph: highest pH at which a preservative does its work, or ``None``.
        density: [kg/L], or ``None``.
        heat: ``None`` where no figures are at hand.
        hazards: hazard statements of the material as supplied ("H318", …), and "dust".
        source: where the entry comes from.
        carried: content -> the content that it came along with and is no ingredient apart from:
            the moisture of a powder, the water of a crystal.
        reads: the pH its solution is said to have, from which ``alkalinity`` was worked out.
        keeps_above_ph: lowest pH at which it keeps, or ``None``.
        keeps_below_ph: highest pH at which it keeps, or ``None``.
        not_with: class, substance or material that it does not bear -> what happens.
        wary_of: class, substance or material with which it does less, or stains -> what happens.
        also: other names that makers call it by.
        chains: a mixture among its contents -> what it is a mixture of [kg/kg of it].
        dissolves: what a mass of water takes up of it at room temperature [kg/kg], or ``None``.
        strength: mass of the usual conditioning active that does what a mass of it does [kg/kg],
            or ``None`` for what is not there to condition.
        goes_in_with: the material into which it is stirred or dissolved before both go in, by the
            maker's word, or ``None``.
        sources: figure ("dose", "reads", a substance in the contents, …) -> its own source, where
            that is another than the entry's.
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
    reads: Reading | None = None
    keeps_above_ph: float | None = None
    keeps_below_ph: float | None = None
    not_with: Mapping[str, str] = field(default_factory=dict)
    wary_of: Mapping[str, str] = field(default_factory=dict)
    also: tuple[str, ...] = ()
    chains: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    dissolves: float | None = None
    strength: float | None = None
    goes_in_with: str | None = None
    sources: Mapping[str, Source] = field(default_factory=dict)

    def source_for(self, figure: str) -> Source:
        """Where one of its figures comes from."""
        return self.sources.get(figure, self.source)

    def cited(self) -> Iterator[tuple[str, Source]]:
        """Figures with a source of their own, the reading of pH first."""
        if self.reads is not None:
            yield "reads", self.reads.source
        yield from self.sources.items()

    @property
    def most_advised(self) -> float:
        """The most of it that its suppliers advise [kg/kg]; 1 where they do not say."""
        return 1.0 if self.dose is None else self.dose[1]

    def typical_contents(self) -> Iterator[tuple[str, float]]:
        """Substance and its typical share [kg/kg], in declared order."""
        return ((inci, span.typical) for inci, span in self.contents.items())

    def by_chain(
        self, usual: Mapping[str, Mapping[str, float]] | None = None
    ) -> Iterator[tuple[str, float]]:
        """As `typical_contents`, with a mixture of chains as its single substances.

        Args:
            usual: what a mixture is made up of where the material itself does not say.
        """
        told = {**(usual or {}), **self.chains}
        for inci, share in self.typical_contents():
            for single, part in told.get(inci, {inci: 1.0}).items():
                yield single, share * part
