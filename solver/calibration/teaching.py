"""From readings at the bench to a bench that knows what they taught."""

from dataclasses import dataclass

from ...constraints.acidity.unknown import unknown_alkalinity
from ...constraints.bench.learning import Lesson, lesson_of, with_lesson
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.material import Span
from ...constraints.values.names import asked_name, meant
from ...constraints.values.problem import Problem, Problems, Where
from ...constraints.values.told import Told
from ...constraints.values.units import shown
from .narrowing import Narrowed, bar_range, narrowed, possible
from .sampling import Sample
from .titration import Contradiction, Learned, learn


@dataclass(frozen=True, slots=True, repr=False)
class Taught(Told):
    """What readings taught.

    Args:
        sample: what was in the beaker, and what was read.
        learned: the alkalinity and buffer that fit it, and what is left over.
        lesson: what is to be known of a material from now on; ``None`` where a bar was read and no
            one material answers for it.
        bench: as it will be read once the lesson is written; without a lesson as it is.
        bar: pH of the bar by its own readings and what is known of its materials; ``None`` where a
            material was read, or where no lots within what is known of them read so.
        narrowed: what readings of a bar leave of its materials.
    """

    sample: Sample
    learned: Learned
    lesson: Lesson | None
    bench: Bench
    bar: Span | None = None
    narrowed: tuple[Narrowed, ...] = ()


def teach(
    bench: Bench, composition: Composition, sample: Sample, owing_to: str | None = None
) -> Taught | Problems:
    """Learn from readings.

    Args:
        bench: as it is known so far.
        composition: the bar in question.
        sample: what was read.
        owing_to: the material in the bar on which readings of the bar are laid. Without it the one
            material in use whose alkalinity is not known, if there is just one.

    Returns:
        What was learnt, or why nothing can be.
    """
    learned = learn(sample.parts, sample.substances, sample.added, sample.readings)
    if isinstance(learned, Contradiction):
        return Problems((_contradiction(learned, sample),))
    owing = _owing(sample, owing_to)
    if isinstance(owing, Problem):
        return Problems((owing,))
    bar, less = _of_bar(bench, sample, learned)
    if owing is None:
        return Taught(sample, learned, None, bench, bar, less)
    lesson = _lesson(sample, learned, owing)
    known = with_lesson(bench, lesson)
    if isinstance(known, Problems):
        return known
    return Taught(sample, learned, lesson, known, bar, less)


def _of_bar(
    bench: Bench, sample: Sample, learned: Learned
) -> tuple[Span | None, tuple[Narrowed, ...]]:
    """What readings of a bar say of the bar itself and of its materials."""
    if not sample.bar:
        return None, ()
    beyond = possible(sample.parts, learned.first)
    if beyond is None:
        return None, ()
    ph = bar_range(sample.parts, sample.substances, bench.brief.dilution, beyond)
    return ph, narrowed(sample.parts, learned.first)


def _contradiction(found: Contradiction, sample: Sample) -> Problem:
    """Readings of which more would have to be wrong than are to be thought wrong."""
    points = [sample.readings.points[one] for one in found.clash]
    said = " and ".join(f"pH {ph:g} at {mass * 1000:g} g" for mass, ph in points)
    numbers = ", ".join(str(one + 1) for one in found.clash)
    place = Where(sample.readings.where.file, f"points.{numbers}")
    if found.against:
        what = f"{said} of {sample.readings.added}: it went the wrong way"
        return Problem(
            place, what, "readings that go the way of what is added, once they are still"
        )
    what = f"{said}, which cannot all be true"
    return Problem(place, what, "readings that agree within what they were read with")


def _owing(sample: Sample, owing_to: str | None) -> str | Problem | None:
    names = [material.name for material, share in sample.parts if share > 0.0]
    where = Where("--owing-to")
    if not sample.bar:
        if owing_to is None or meant(owing_to, names):
            return names[0]
        return Problem(where, shown(owing_to), f"{names[0]}, which is what was read")
    if owing_to is None:
        unknown = unknown_alkalinity(sample.parts)
        return unknown[0] if len(unknown) == 1 else None
    return asked_name(where, owing_to, names, "a material in the bar that was read")


def _lesson(sample: Sample, learned: Learned, owing: str) -> Lesson:
    material, share = next(part for part in sample.parts if part[0].name == owing)
    return lesson_of(
        material,
        learned.alkalinity,
        learned.buffer,
        sample.readings,
        share if sample.bar else None,
    )
