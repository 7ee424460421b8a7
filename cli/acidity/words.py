"""What is said of a pH: sentences about acids, bases, what is known of them and what is not."""

from collections.abc import Iterable, Iterator, Sequence

from ...constraints.acidity.adjusting import ADJUSTING, Adjustment, Obstacle
from ...constraints.acidity.constants import constants
from ...constraints.acidity.prediction import Prediction
from ...constraints.market.caution import Caution, applying
from ...constraints.market.caution import cautions as packaged
from ...constraints.market.practice import figure
from ...constraints.model.brief import Bench, Composition
from ...constraints.rules.acidity import PH_TOLERANCE
from ...constraints.values.units import Dimension
from ...workshop.acid.account import UNKNOWN_STEP, Account, Pull
from ...workshop.acid.answer import Answer, Dose
from ..kit.numbers import amount, limits, percent
from ..kit.one_screen import counted
from ..kit.words import bar_name

FAINT = 1e-5
"""A pull below this is not shown [mol per kg of mix]."""

NARROW = 0.02
"""What moves the pH by less is not shown: a good meter reads no better."""

_OBSTACLES = {
    Obstacle.THERE: "not needed: the pH is there already",
    Obstacle.AWAY: "pulls the other way",
    Obstacle.WEAK: "too weak to reach it",
}


def ph(value: float) -> str:
    """A pH to two decimals."""
    return f"{value:.2f}"


def small_grams(mass_kg: float) -> str:
    """Grams of something of which there is little: three figures, to a milligram at most.

    >>> small_grams(0.0002242), small_grams(0.0092), small_grams(0.12345)
    ('0.224', '9.20', '123')
    """
    mass = abs(mass_kg) * 1000
    if mass < 0.0005:
        return "< 0.001" if mass else "0"
    digits = 3 if mass < 1 else 2 if mass < 10 else 1 if mass < 100 else 0
    return f"{mass:.{digits}f}"


def more_or_less(amount_kg: float) -> str:
    """An amount to add or to leave out.

    >>> more_or_less(0.0002242), more_or_less(-0.0092)
    ('0.224 g more', '9.20 g less')
    """
    return f"{small_grams(amount_kg)} g {'more' if amount_kg >= 0 else 'less'}"


def opening(
    bench: Bench, composition: Composition, answer: Answer, *, learnt: bool
) -> Iterator[str]:
    """The pH, its range, and what the brief makes of it."""
    found, dilution = answer.account.prediction, percent(bench.brief.dilution)
    yield f"{bar_name(bench, composition.name)}: predicted pH {ph(found.ph)}"
    yield (
        f"In water at 25 °C, {dilution} of bar. Between {ph(found.low)} and {ph(found.high)} as "
        "its materials vary within what is known of them."
    )
    if learnt:
        yield "With what the readings below say."
    if answer.band is not None:
        yield _band_sentence(answer, found)
    if not found.valid:
        yield (
            f"So much salt is dissolved here ({found.ionic_strength:.2f} mol/kg) that these "
            f"figures lie outside what the model is trusted for "
            f"({constants().trusted_to:g} mol/kg): take them for a hint and measure."
        )


def _band_sentence(answer: Answer, found: Prediction) -> str:
    band = answer.band
    assert band is not None  # noqa: S101  (asked only where there is one)
    asks = f"The brief asks for {limits(band)} ({band.kind})"
    low = -1.0 if band.low is None else band.low - PH_TOLERANCE
    high = 15.0 if band.high is None else band.high + PH_TOLERANCE
    if low <= found.low and found.high <= high:
        return f"{asks}: kept over the whole range."
    if low <= found.ph <= high:
        return f"{asks}: kept as predicted, not over the whole range."
    return f"{asks}: broken as predicted."


def pulls_note(pulls: Sequence[Pull]) -> str:
    """What the columns of the table of pulls mean, and who is not in it."""
    faint = sum(abs(one.pull) < FAINT for one in pulls)
    note = (
        "Pull: mmol of base in a kg of mix, below nothing for acid, at the predicted pH. Without "
        "it: the pH with something neutral in its place."
    )
    return f"{note} Not shown: {faint} that pull at next to nothing." if faint else note


def step_sentence(answer: Answer) -> str:
    """What a tenth of a pH means."""
    hold = answer.account.hold * 1000
    first = f"A tenth of a pH upwards is {hold:.2f} mmol of base in a kg of mix"
    ups = {change.material: change.amount for change in answer.step_up}
    said = [_step_of(change, ups) for change in answer.step_down if change.amount is not None]
    return "; ".join([first, *said]) + "."


def _step_of(change: Adjustment, ups: dict[str, float | None]) -> str:
    assert change.amount is not None  # noqa: S101  (asked only of those that can)
    up = ups.get(change.material)
    upwards = "" if up is None else f", upwards {more_or_less(up)}"
    return f"in {change.material} it is {more_or_less(change.amount)} downwards{upwards}"


def width_of(pull: Pull) -> float:
    """How far the base left over in a material moves the pH."""
    return abs(pull.ends[1] - pull.ends[0])


def unknown_sentences(account: Account) -> Iterator[str]:
    """What is not known, and what would be learnt most from."""
    unknown = [one for one in account.pulls if not one.known]
    if unknown:
        step = f"{UNKNOWN_STEP * 1000:g} mmol"
        said = "; ".join(f"{one.material.name}: pH {ph(one.ends[1])}" for one in unknown)
        yield (
            f"Not known, counted as nought, and not in the range above: the base left over in "
            f"{_listed([one.material.name for one in unknown])}. With {step} in a kg of it: {said}."
        )
    widest = max(account.pulls, key=width_of, default=None)
    if widest is not None and width_of(widest) >= NARROW:
        yield f"Readings of {widest.material.name} would tell most: --readings FILE."


def _listed(names: Sequence[str]) -> str:
    return " and ".join(part for part in ("; ".join(names[:-1]), names[-1]) if part)


def target_sentences(bench: Bench, bars: int | None, batch_kg: float | None) -> Iterator[str]:
    """How the table of doses is meant."""
    yield (
        "More is added on top of a kg of the mix as it stands, less is left out of it; the rest "
        "stays as it is."
    )
    declared = bench.brief.portioning.declared
    if bars and batch_kg and declared:
        are = "is" if bars == 1 else "are"
        yield (
            f"{counted(bars, 'bar')} of {amount(declared)} {are} {amount(batch_kg)} of mix with "
            "drying and losses; `barwright batch` adds what the fill weight asks for."
        )


MOST_NAMED = 2
"""So many limits missed by a hair are named; of more, how many."""


def dose_remark(bench: Bench, composition: Composition, dose: Dose) -> str:
    """What stands in the way of a dose, or what it would break."""
    name, obstacle = dose.change.material, dose.change.obstacle
    used = composition.parts.get(name, 0.0) > 0.0
    if obstacle is Obstacle.AWAY and used and ADJUSTING.intersection(bench.material(name).classes):
        return "pulls the other way; with none of it the pH is still not there"
    if obstacle is not None:
        return _OBSTACLES[obstacle]
    return "; ".join(_breaks(dose))


def _breaks(dose: Dose) -> Iterator[str]:
    plain = [name for name in dose.breaks if name not in dose.hair]
    if plain:
        yield f"breaks {'; '.join(plain)}"
    if dose.hair:
        few = len(dose.hair) <= MOST_NAMED
        named = "; ".join(dose.hair) if few else f"{len(dose.hair)} limits"
        yield f"a hair past {named}"


def amine_sentence(equivalents: float) -> str:
    """How far the amidoamine is neutralised."""
    said = (
        f"Acid for the amidoamine: {equivalents:.2f} equivalents for each of amine, counted as "
        "far as the acids have given up protons at this pH."
    )
    if equivalents < 1.0:
        return f"{said} Too little: it conditions only once acid has given it a charge."
    return f"{said} Other bases take their part of it, so 1 is the least it needs."


PRESERVATIVE_NOTE = (
    "Only the acid form, which has kept its proton, works against microbes; the share of it rises "
    "as the pH falls."
)


def cautions(bench: Bench, answer: Answer) -> Iterator[str]:
    """What a prediction does not do, and what acids and alkalis do."""
    strip = figure("test strip", Dimension.PH)
    least, usual, most = strip.span.low, strip.span.typical, strip.span.high
    yield (
        "A predicted pH never replaces a measured one: read it on a calibrated meter, in the same "
        "dilution and at 25 °C, in every batch, and add acid in parts."
    )
    yield (
        f"A test strip shows steps of {least:g} to {most:g} pH, usually {usual:g} "
        f"({strip.source.kind}): enough to see that something went wrong, not to set a pH by."
    )
    yield from _handling(bench, answer)
    yield (
        "Local law, the safety data sheets and a qualified assessor go before anything said here."
    )


def _handling(bench: Bench, answer: Answer) -> Iterator[str]:
    """The usual cautions for the acids and alkalis that are proposed or in use."""
    named = [dose.change.material for dose in answer.doses if (dose.change.amount or 0.0) > 0.0]
    named += [one.material.name for one in answer.account.pulls]
    acting = [name for name in dict.fromkeys(named) if _acting(bench.material(name).classes)]
    known = [one for one in packaged() if _about_acids(one)]
    parts = dict.fromkeys(acting, 1.0)
    for one, names in applying(bench, Composition("acids and bases", parts), known):
        yield f"{one.text} ({_listed(names)})"


def _acting(classes: Iterable[str]) -> bool:
    return not {"acid", "base"}.isdisjoint(classes)


def _about_acids(one: Caution) -> bool:
    return any(
        {"acid", "base"} & case.get("class", frozenset())
        or {"H314", "H318", "H319"} & case.get("hazard", frozenset())
        for case in one.cases
    )
