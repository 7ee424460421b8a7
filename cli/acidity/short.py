"""The acidity of a bar in one screen."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench, Composition
from ...workshop.acid.answer import Answer
from ..finding.lots import band_sentence
from ..kit.one_screen import counted, sentences, show_parts
from ..sureness.words import read_sentence
from .view import batch_mass
from .words import cautions, dose_remark, more_or_less, opening, ph, unknown_sentences, width_of

if TYPE_CHECKING:
    from rich.console import Console

    from ...solver.uncertain.informing import Informed

FEW = 3


def show_short_acidity(
    console: "Console",
    bench: Bench,
    composition: Composition,
    answer: Answer,
    bars: int | None,
    *,
    learnt: bool,
    read: "Informed | None" = None,
) -> None:
    """The pH, what moves it most, what it takes to reach the aim, and what to beware of."""
    head = list(opening(bench, composition, answer, learnt=learnt))
    head += filter(None, [band_sentence(bench, composition, None if read is None else read.within)])
    head += [] if read is None else [read_sentence(read)]
    title = "" if answer.target is None else f"To reach pH {ph(answer.target)}"
    parts = (
        sentences("", head, least=len(head)),
        sentences("What moves it", _movers(answer)),
        sentences(title, _doses(bench, composition, answer, bars)),
        sentences("Beware", _beware(bench, answer), least=2),
    )
    show_parts(console, parts, "--all: what pulls which way, the curve, and the preservatives.")


def _beware(bench: Bench, answer: Answer) -> Iterator[str]:
    """That a prediction is none to rely on, and how acids and alkalis are handled."""
    said = list(cautions(bench, answer))
    yield said[0]
    yield from said[2:]


def _movers(answer: Answer) -> Iterator[str]:
    """What pulls most, and what is known least of."""
    pulls = sorted(answer.account.pulls, key=lambda one: -abs(one.pull))[:FEW]
    for one in pulls:
        yield f"{one.material.name}: without it the pH would be {ph(one.ph_without)}."
    widest = max(answer.account.pulls, key=width_of)
    low, high = sorted(widest.ends)
    if high - low >= 0.1:
        yield f"Least is known of {widest.material.name}: pH {ph(low)} to {ph(high)} by it alone."
    yield from unknown_sentences(answer.account)


def _doses(
    bench: Bench, composition: Composition, answer: Answer, bars: int | None
) -> Iterator[str]:
    batch_kg = batch_mass(bench, bars)
    for dose in answer.doses:
        if dose.change.amount is None:
            continue
        said = f"{dose.change.material}: {more_or_less(dose.change.amount)} in a kg of mix"
        if batch_kg is not None:
            said += (
                f", {more_or_less(dose.change.amount * batch_kg)} in {counted(bars or 0, 'bar')}"
            )
        remark = dose_remark(bench, composition, dose)
        yield f"{said}{f' ({remark})' if remark else ''}."
    if answer.target is not None and not any(one.change.amount for one in answer.doses):
        yield "No acid and no base that can be had reaches it."
