"""What readings taught, on the screen: the fit, what it misses, and what is written where."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ...constraints.acidity.prediction import Prediction
from ...constraints.bench.files import MATERIALS
from ...constraints.bench.learning import lesson_lines
from ...constraints.bench.readings_reading import Instrument
from ...constraints.model.material import Span
from ...workshop.acid.answer import Answer
from ..kit.numbers import amount
from ..kit.screen import heading, paragraph, table
from .words import ph, small_grams, width_of

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from ...solver.calibration.teaching import Taught

FEW = 3


def show_taught(
    console: "Console", taught: "Taught", before: Prediction, answer: Answer, *, written: bool
) -> None:
    """The fit of the readings and where it goes."""
    heading(console, "What the readings say")
    for sentence in _fit_sentences(taught):
        paragraph(console, sentence)
    console.print(_misfits(taught))
    for sentence in _bar_sentences(taught):
        paragraph(console, sentence)
    if taught.narrowed:
        console.print(_narrowed(taught))
    for sentence in _effect_sentences(taught, before, answer):
        paragraph(console, sentence)
    if taught.lesson is None:
        return
    paragraph(console, _written_sentence(taught, written=written))
    console.print()
    console.print(f'["{taught.lesson.material}"]', soft_wrap=True)
    for line in lesson_lines(taught.lesson):
        console.print(line, soft_wrap=True)


def _fit_sentences(taught: "Taught") -> Iterator[str]:
    readings, learned = taught.sample.readings, taught.learned
    span, count = learned.alkalinity, len(readings.points)
    added = f", {readings.added} added" if readings.added else ""
    yield (
        f"{count} {'reading' if count == 1 else 'readings'} of {readings.of} on {readings.date}: "
        f"{amount(readings.sample)} in {amount(readings.water)} of water{added}, "
        f"{_read_with(readings.instrument)}."
    )
    beyond = " beyond what its materials are known to hold" if taught.sample.bar else ""
    yield f"They leave {_mmol(span.typical)} of base in a kg{beyond}, {_range(span)} as read."
    if learned.buffer_learnt:
        yield f"For each pH {_mmol(learned.buffer)} is taken up besides."
    else:
        yield (
            "What is taken up for each pH besides stays as it was known: it takes readings some "
            "way apart to tell."
        )
    yield from _wrong_sentences(taught)
    if not learned.valid:
        yield "So much salt was dissolved that the fit lies outside what the model is trusted for."


def _read_with(instrument: Instrument) -> str:
    if instrument.name == "strip":
        return f"by a strip in steps of {instrument.figure:g}"
    return f"by a meter, right within {instrument.figure:g}"


def _wrong_sentences(taught: "Taught") -> Iterator[str]:
    """Readings that contradict each other, by the smallest set of them."""
    learned, points = taught.learned, taught.sample.readings.points
    if learned.clash:
        said = " and ".join(
            f"pH {points[one][1]:g} at {small_grams(points[one][0])} g" for one in learned.clash
        )
        yield f"{said} cannot all be true, whatever it holds."
    if learned.against:
        yield (
            f"There the pH went against the {taught.sample.readings.added} that was added. That "
            "is no chemistry: it was misread, or had not come to rest, or stands in another place."
        )
    if learned.left_out:
        some = "one of them" if learned.left_out == 1 else f"{learned.left_out} of them"
        yield f"The range holds even where {some} is wrong, whichever that is."


def _bar_sentences(taught: "Taught") -> Iterator[str]:
    if not taught.sample.bar:
        return
    if taught.bar is None:
        yield (
            "No lots of its materials within what is known of them read so: one of them, or its "
            "share in the bar, is not what it is thought to be."
        )
        return
    bar = taught.bar
    yield f"By its readings this bar has pH {ph(bar.typical)} ({ph(bar.low)} to {ph(bar.high)})."
    if not taught.narrowed:
        yield "They say nothing of any one of its materials that was not known."


def _narrowed(taught: "Taught") -> "Table":
    made = table("by the bar, base in", "mmol/kg before", "after", right=(1, 2))
    for one in taught.narrowed:
        before = "not known" if one.before is None else _range(one.before)
        made.add_row(one.material, before, _range(one.after))
    return made


def _mmol(value: float) -> str:
    return f"{value * 1000:.2f} mmol"


def _range(span: Span) -> str:
    return f"{span.low * 1000:.2f} to {span.high * 1000:.2f}"


def _misfits(taught: "Taught") -> "Table":
    """Each reading beside the fit; what stands apart from the others was misread or not settled."""
    made = table("added, g", "pH read", "pH fitted", "apart", "base, mmol/kg", right=range(5))
    learned = taught.learned
    rows = zip(
        taught.sample.readings.points, learned.ph_misfits, learned.charge_misfits, strict=True
    )
    for (mass, read), apart, charge in rows:
        said = (learned.alkalinity.typical - charge) * 1000
        cells = ph(read), ph(read + apart), f"{apart:+.2f}", f"{said:.2f}"
        made.add_row(small_grams(mass), *cells)
    return made


def _effect_sentences(taught: "Taught", before: Prediction, answer: Answer) -> Iterator[str]:
    yield ("Apart: the pH of the fit less the pH read. Base: what that reading alone would say.")
    if taught.lesson is None:
        widest = sorted(answer.account.pulls, key=width_of, reverse=True)[:FEW]
        names = "; ".join(one.material.name for one in widest)
        yield (
            "A bar does not say which of its materials brings this: name one with --owing-to and "
            f"it is laid on that. What is known least of, counted in pH: {names}."
        )
        return
    after = answer.account.prediction
    yield (
        f"pH of the bar: {ph(before.ph)} before ({ph(before.low)} to {ph(before.high)}), "
        f"{ph(after.ph)} with it ({ph(after.low)} to {ph(after.high)})."
    )


def _written_sentence(taught: "Taught", *, written: bool) -> str:
    path = f"{taught.bench.folder}/{MATERIALS}"
    if written:
        return f"Written to {path}, where all else stays as it was:"
    return f"Nothing is written. With --write this goes into {path}, all else staying as it is:"
