"""A file of readings and what was in the beaker: the sample, the material added, what they hold."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from ...constraints.acidity.charge import Parts
from ...constraints.bench.reading import MATERIALS, contents
from ...constraints.bench.readings_reading import Readings, read_readings
from ...constraints.bench.shelf_reading import Stores, stores_of
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.material import Material
from ...constraints.model.substance import Substance
from ...constraints.values.problem import Problem, Problems, Where


@dataclass(frozen=True, slots=True)
class Sample:
    """What was in the beaker, and what was read.

    Args:
        readings: masses and pH.
        parts: the one material that was dispersed, or those of a bar with their shares [kg/kg].
        added: the acid or base that was added.
        substances: every substance they contain, by INCI name.
        bar: whether the sample is of a bar.
    """

    readings: Readings
    parts: Parts
    added: Material
    substances: Mapping[str, Substance]
    bar: bool


def read_sample(path: str | Path, bench: Bench, composition: Composition) -> Sample | Problems:
    """Read a file of readings of a material or of a bar.

    Any material that the bench or the catalogue knows may be named, on the shelf or not.

    Args:
        path: of the file.
        bench: where it belongs.
        composition: the bar that the sample may be of, by its name.

    Returns:
        The sample, or everything that is wrong with the file.
    """
    shown_as = str(path)
    try:
        content = Path(path).read_bytes()
    except FileNotFoundError:
        return Problems((Problem(Where(shown_as), "no such file", "a file of readings"),))
    except (OSError, ValueError) as error:
        return Problems((Problem(Where(shown_as), str(error), "a file that can be read"),))
    stores = _stores(bench)
    if isinstance(stores, Problems):
        return stores
    samples = (*stores.material_names, composition.name)
    readings = read_readings(shown_as, content, samples, stores.material_names)
    if isinstance(readings, Problems):
        return readings
    return _sample(readings, bench, composition, stores)


def _stores(bench: Bench) -> Stores | Problems:
    """All that is known at the bench; its file was read before, but may have changed since."""
    problems: list[Problem] = []
    own = contents(Path(bench.folder)).get(MATERIALS)
    if isinstance(own, Problem):
        return Problems((own,))
    stores = stores_of(MATERIALS, own, problems)
    return Problems(tuple(problems)) if problems else stores


def _sample(readings: Readings, bench: Bench, composition: Composition, stores: Stores) -> Sample:
    bar = readings.of not in stores.material_names
    parts = bench.parts_of(composition) if bar else ((stores.material(readings.of), 1.0),)
    added = stores.material(readings.added)
    named = dict.fromkeys(
        inci for material in (*(part for part, _ in parts), added) for inci in material.contents
    )
    return Sample(readings, parts, added, {inci: stores.substance(inci) for inci in named}, bar)
