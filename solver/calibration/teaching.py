"""From readings at the bench to a bench that knows what they taught."""

from dataclasses import dataclass

from ...constraints.acidity.charge import unknown_alkalinity
from ...constraints.bench.learning import Lesson, lesson_of, with_lesson
from ...constraints.model.brief import Bench, Composition
from ...constraints.values.names import asked_name, meant
from ...constraints.values.problem import Problem, Problems, Where
from ...constraints.values.units import shown
from .sampling import Sample
from .titration import Learned, NotFixed, Shortage, learn


@dataclass(frozen=True, slots=True)
class Taught:
    """What readings taught.

    Args:
        sample: what was in the beaker, and what was read.
        learned: the alkalinity and buffer that fit it, and what is left over.
        lesson: what is to be known of a material from now on; ``None`` where a bar was read and no
            one material answers for it.
        bench: as it will be read once the lesson is written; without a lesson as it is.
    """

    sample: Sample
    learned: Learned
    lesson: Lesson | None
    bench: Bench


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
    if isinstance(learned, NotFixed):
        return Problems((_shortage(learned, sample.readings.where),))
    owing = _owing(sample, owing_to)
    if isinstance(owing, Problem):
        return Problems((owing,))
    if owing is None:
        return Taught(sample, learned, None, bench)
    lesson = _lesson(sample, learned, owing)
    known = with_lesson(bench, lesson)
    return known if isinstance(known, Problems) else Taught(sample, learned, lesson, known)


def _shortage(found: NotFixed, where: Where) -> Problem:
    place = Where(where.file, "points")
    if found.shortage is Shortage.FEW:
        count = f"{found.found:.0f} {'reading' if found.found == 1 else 'readings'}"
        return Problem(place, count, f"at least {found.needed:.0f} readings")
    apart = f"readings {found.found:.2g} pH apart"
    return Problem(place, apart, f"at least {found.needed:g} pH between the lowest and the highest")


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
