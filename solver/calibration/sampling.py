"""What was in the beaker when a pH was read: the sample, the material added, what they hold."""

from collections.abc import Mapping
from dataclasses import dataclass

from ...constraints.acidity.coefficients import Parts
from ...constraints.bench.readings_reading import Readings
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.material import Material
from ...constraints.model.substance import Substance
from ...constraints.values.told import Told


@dataclass(frozen=True, slots=True, repr=False)
class Sample(Told):
    """What was in the beaker, and what was read.

    Args:
        readings: masses and pH.
        parts: the one material that was dispersed, or those of a bar with their shares [kg/kg].
        added: the acid or base that was added, or ``None``.
        substances: every substance they contain, by INCI name.
        bar: whether the sample is of a bar.
    """

    readings: Readings
    parts: Parts
    added: Material | None
    substances: Mapping[str, Substance]
    bar: bool


def sample_of(readings: Readings, bench: Bench, composition: Composition) -> Sample:
    """What was in the beaker: a material that the bench knows, or the bar of that name.

    Raises:
        KeyError: when what was read is known by neither name.
    """
    stores = bench.stores
    bar = readings.of not in stores.material_names
    parts = bench.parts_of(composition) if bar else ((stores.material(readings.of), 1.0),)
    added = stores.material(readings.added) if readings.added else None
    named = dict.fromkeys(
        inci
        for material in (*(part for part, _ in parts), added)
        if material
        for inci in material.contents
    )
    return Sample(readings, parts, added, {inci: stores.substance(inci) for inci in named}, bar)
