"""The acidity of a bar on the screen: pH, what pulls at it, doses, curve, preservatives."""

from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench, Composition
from ...workshop.acid.account import Account
from ...workshop.acid.answer import Answer, Dose
from ..finding.lots import band_sentence
from ..kit.numbers import percent, share
from ..kit.one_screen import counted
from ..kit.plot import Series, plot
from ..kit.screen import heading, on_screen, paragraph, picture, table
from ..sureness.view import show_read
from .pictures import band_picture, titration_picture
from .words import (
    FAINT,
    NARROW,
    PRESERVATIVE_NOTE,
    amine_sentence,
    cautions,
    dose_remark,
    more_or_less,
    opening,
    ph,
    pulls_note,
    step_sentence,
    target_sentences,
    unknown_sentences,
    width_of,
)

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from ...solver.uncertain.informing import Informed

PLOT_WIDTH, PLOT_HEIGHT = 72, 18


def show_acidity(
    console: "Console",
    bench: Bench,
    composition: Composition,
    answer: Answer,
    bars: int | None,
    *,
    learnt: bool,
    read: "Informed | None" = None,
) -> None:
    """The whole answer of ``acidity``; ``learnt`` says that readings below have a part in it."""
    for sentence in opening(bench, composition, answer, learnt=learnt):
        paragraph(console, sentence)
    said = band_sentence(bench, composition, None if read is None else read.within)
    if said:
        paragraph(console, said)
    if read is not None:
        show_read(console, read, whole=True)
    picture(console, lambda: band_picture(answer))
    _show_pulls(console, answer)
    _show_grounds(console, answer.account)
    if answer.target is not None:
        _show_doses(console, bench, composition, answer, bars)
    _show_curve(console, answer)
    _show_preserving(console, answer.account)
    heading(console, "Before you rely on it")
    for sentence in cautions(bench, answer):
        paragraph(console, f"- {sentence}", hang=2)


def _show_pulls(console: "Console", answer: Answer) -> None:
    heading(console, "What pulls it down and up")
    made = table("material", "share", "pull", "without it", right=(1, 2, 3))
    for one in answer.account.pulls:
        if abs(one.pull) >= FAINT:
            cells = share(one.share), f"{one.pull * 1000:+.2f}", ph(one.ph_without)
            made.add_row(one.material.name, *cells)
    console.print(made)
    paragraph(console, pulls_note(answer.account.pulls))
    paragraph(console, step_sentence(answer))


def _show_grounds(console: "Console", account: Account) -> None:
    """The base left over in materials, as far as it moves the pH."""
    heading(console, "What it rests on")
    made = table("base left over in", "mmol/kg", "at its least", "at its most", right=(1, 2, 3))
    for one in sorted(account.pulls, key=width_of, reverse=True):
        span = one.material.alkalinity
        if span is not None and width_of(one) >= NARROW:
            held = f"{_mmol(span.low)} to {_mmol(span.high)}"
            made.add_row(one.material.name, held, *(f"pH {ph(end)}" for end in one.ends))
    if made.row_count:
        console.print(made)
    else:
        paragraph(console, f"Nothing that is known of its materials moves it by {NARROW} pH.")
    for sentence in unknown_sentences(account):
        paragraph(console, sentence)


def _mmol(moles: float) -> str:
    """Two figures, and whole numbers where there are more."""
    return f"{moles * 1000:.2g}" if abs(moles) < 0.1 else f"{moles * 1000:.0f}"


def _show_doses(
    console: "Console", bench: Bench, composition: Composition, answer: Answer, bars: int | None
) -> None:
    assert answer.target is not None  # noqa: S101  (asked only where there is one)
    whose = "" if answer.asked else ", the middle of the brief's band"
    heading(console, f"To reach pH {ph(answer.target)}{whose}")
    batch_kg = batch_mass(bench, bars)
    made = _dose_table(bars if batch_kg else None)
    for dose in answer.doses:
        made.add_row(
            dose.change.material, *_masses(dose, batch_kg), dose_remark(bench, composition, dose)
        )
    if not answer.doses:
        paragraph(console, "No acid and no base on the shelf can be had.")
        return
    console.print(made)
    for sentence in target_sentences(bench, bars, batch_kg):
        paragraph(console, sentence)


def _dose_table(bars: int | None) -> "Table":
    grams = ("in a kg of mix", *((f"in {counted(bars, 'bar')}",) if bars else ()))
    return table("material", *grams, "remark", right=range(1, len(grams) + 1))


def _masses(dose: Dose, batch_kg: float | None) -> tuple[str, ...]:
    found = dose.change.amount
    masses = (1.0,) if batch_kg is None else (1.0, batch_kg)
    return tuple("–" if found is None else more_or_less(found * mass) for mass in masses)


def batch_mass(bench: Bench, bars: int | None) -> float | None:
    """Mix for so many bars at their declared mass, with drying and losses [kg]."""
    portioning = bench.brief.portioning
    left = (1.0 - portioning.drying_until_declared) * (1.0 - portioning.loss)
    if bars is None or portioning.declared is None or left <= 0.0:
        return None
    return bars * portioning.declared / left


def _show_curve(console: "Console", answer: Answer) -> None:
    if answer.titrant is None or not answer.curve:
        return
    heading(console, f"pH against {answer.titrant} in a kg of mix")
    grams = [(mass * 1000, value) for mass, value in answer.curve]
    now = (answer.held * 1000, answer.account.prediction.ph)
    there = _target_point(answer)
    series = [
        Series("*", grams),
        Series("x", there, joined=False),
        Series("o", [now], joined=False),
    ]
    width = min(PLOT_WIDTH, max(console.width, 40))
    lines = plot(series, width, PLOT_HEIGHT, "g", "pH")
    picture(console, lambda: titration_picture(answer, grams, now, there), lines)
    aimed = " x: the target." if there else ""
    on_screen(console, f"o: the mix as it stands.{aimed} The rest of it stays as it is.")


def _target_point(answer: Answer) -> list[tuple[float, float]]:
    amounts = {dose.change.material: dose.change.amount for dose in answer.doses}
    change = amounts.get(answer.titrant or "")
    if change is None or answer.target is None:
        return []
    return [((answer.held + change) * 1000, answer.target)]


def _show_preserving(console: "Console", account: Account) -> None:
    if account.preserving:
        heading(console, "Acid preservatives at this pH")
        made = table("substance", "in the mix", "as acid", "works up to", right=(1, 2, 3))
        for one in account.preserving:
            works = "" if one.works_below_ph is None else f"pH {one.works_below_ph:g}"
            made.add_row(one.substance, share(one.share), percent(one.undissociated), works)
        console.print(made)
        paragraph(console, PRESERVATIVE_NOTE)
    if account.acid_to_amine is not None:
        heading(console, "Conditioner that acid has to wake")
        paragraph(console, amine_sentence(account.acid_to_amine))
