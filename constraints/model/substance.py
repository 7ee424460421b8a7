"""A substance: one name on an ingredient list, with what chemistry and the law know of it."""

from dataclasses import dataclass

from ..values.problem import Source
from ..values.told import Told


@dataclass(frozen=True, slots=True)
class Ionisation:
    """How a substance carries charge in water at 25 °C.

    The mean charge at a pH is ``top_charge`` less the groups that have lost their proton, plus the
    fixed ions: trisodium citrate is ``pka = (3.128, 4.761, 6.396)``, ``top_charge = 0`` and
    ``ions = (1, 1, 1)``.

    Args:
        pka: stepwise acid constants at 25 °C and zero ionic strength, ascending.
        top_charge: charge of the fully protonated form [mol charge/mol].
        ions: charges of the ions that go into solution with it whatever the pH [mol charge/mol].
        aggregates: whether it sits in micelles or a melt, so that its own charge adds nothing to
            the ionic strength of the water around it.
        source: where the constants come from.
        beside: what goes into solution with it and ionises for itself: the second acid of a calcium
            salt, the ammonia or the amine of an ammonium or amine salt.
    """

    pka: tuple[float, ...]
    top_charge: int
    ions: tuple[int, ...]
    aggregates: bool
    source: Source
    beside: tuple["Ionisation", ...] = ()


@dataclass(frozen=True, slots=True, repr=False)
class Substance(Told):
    """One INCI-named substance.

    Args:
        inci: its name on an ingredient list.
        classes: what it does and what it is ("surfactant", "anionic", "fatty alcohol", …).
        cas: registry numbers.
        molar_mass: [g/mol]; ``None`` where no single figure makes sense.
        ionisation: ``None`` for a substance that carries no charge that moves with pH or salt.
        buffer: charge taken up per pH step by a substance known only by titration, such as a
            protein [mol/(kg·pH)]; 0 where it has none.
        neutral_ph: the pH at which the buffer carries no charge.
        colour_index: the CI number by which a colourant is declared, else empty.
        source: where the entry comes from.
    """

    inci: str
    classes: tuple[str, ...]
    cas: tuple[str, ...]
    molar_mass: float | None
    ionisation: Ionisation | None
    buffer: float
    neutral_ph: float
    colour_index: str
    source: Source

    def groups(self) -> tuple[Ionisation, ...]:
        """Every part of it that ionises for itself once it is in water."""
        return () if self.ionisation is None else (self.ionisation, *self.ionisation.beside)
