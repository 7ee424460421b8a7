"""What a batch costs beside its materials: packaging, labour, and bars that are not sold."""

from dataclasses import dataclass
from math import ceil, fsum

from ...constraints.model.brief import Bench, Packaging
from ...constraints.values.told import Told

_HOUR = 3600.0  # [s]


@dataclass(frozen=True, slots=True)
class PackagingBought:
    """Packaging bought in whole packs.

    Args:
        name: what it is.
        needed: how many the bars take.
        packs: whole packs to buy.
        pack: how many a pack holds.
        money: price of these packs [money].
        used: price of what is used of them [money].
    """

    name: str
    needed: int
    packs: int
    pack: int
    money: float
    used: float


@dataclass(frozen=True, slots=True, repr=False)
class Beside(Told):
    """What a batch costs beside its materials.

    Args:
        packaging_a_bar: wrapper, box and label of a bar [money], or ``None`` where not given.
        by_pack: what bars are packed in beside that, pack by pack.
        labour: for making the batch [money], or ``None`` where not given.
        rejects: bars that are made and not sold, of those made; what they cost the others bear.
    """

    packaging_a_bar: float | None = None
    by_pack: tuple[Packaging, ...] = ()
    labour: float | None = None
    rejects: float = 0.0

    def packs_for(self, bars: int) -> tuple[PackagingBought, ...]:
        """What has to be bought in whole packs for so many bars."""
        return tuple(_bought(one, bars) for one in self.by_pack)

    def packaging_for(self, bars: int) -> float | None:
        """Packaging of so many bars, of packs what is used [money]; ``None`` where not given."""
        if self.packaging_a_bar is None and not self.by_pack:
            return None
        used = (one.used for one in self.packs_for(bars))
        return fsum((bars * (self.packaging_a_bar or 0.0), *used))


def _bought(packaging: Packaging, bars: int) -> PackagingBought:
    needed = bars * packaging.each
    packs = ceil(needed / packaging.pack)
    return PackagingBought(
        packaging.name,
        needed,
        packs,
        packaging.pack,
        packs * packaging.price,
        needed / packaging.pack * packaging.price,
    )


def beside_of(
    bench: Bench,
    *,
    packaging_a_bar: float | None = None,
    labour: float | None = None,
    hours: float | None = None,
    rate: float | None = None,
    rejects: float | None = None,
) -> Beside:
    """What is asked for, else what the brief's workshop says.

    Args:
        bench: its brief.
        packaging_a_bar: all the packaging of a bar [money], instead of what the brief says.
        labour: for the batch [money]; else hours times what an hour costs.
        hours: work on the batch [s].
        rate: what an hour of it costs [money].
        rejects: bars that are made and not sold, of those made.
    """
    said = bench.brief.workshop
    worked = _first(hours, said.hours_a_batch)
    hourly = _first(rate, said.rate_an_hour)
    by_hours = None if worked is None or hourly is None else worked / _HOUR * hourly
    stated = None if hours is not None else said.labour_a_batch
    return Beside(
        packaging_a_bar=_first(packaging_a_bar, said.packaging_a_bar),
        by_pack=bench.brief.packaging if packaging_a_bar is None else (),
        labour=_first(labour, _first(stated, by_hours)),
        rejects=_first(rejects, said.rejects) or 0.0,
    )


def _first(asked: float | None, said: float | None) -> float | None:
    return said if asked is None else asked
