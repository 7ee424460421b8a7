"""The acidity of a bar as JSON."""

from typing import TYPE_CHECKING

from ...constraints.acidity.adjusting import Adjustment
from ...constraints.acidity.prediction import Prediction
from ...constraints.model.brief import Bench, Composition
from ...constraints.model.material import Span
from ...workshop.acid.account import UNKNOWN_STEP, Account, Pull
from ...workshop.acid.answer import STEP, Answer, Dose
from ..finding.lots import lots_form
from ..kit.as_json import prediction_form, rule_form, source_form
from ..sureness.as_json import read_form

if TYPE_CHECKING:
    from ...constraints.bench.learning import Lesson
    from ...solver.calibration.teaching import Taught
    from ...solver.uncertain.informing import Informed

UNITS = {
    "share": "kg per kg of mix",
    "pull": "mol of base per kg of mix",
    "alkalinity": "mol of base per kg of material",
    "buffer": "mol per kg of material and pH",
    "amount": "kg per kg of mix; below 0 it is left out",
    "curve": "kg of the material in what is now a kg of mix",
    "ionic_strength": "mol per kg of water",
    "acid_to_amine": "mol per mol",
    "base_for_step_up": "mol per kg of mix",
    "readings": "kg added and pH; misfits in pH and in mol per kg of sample",
}


def acidity_form(
    bench: Bench,
    composition: Composition,
    answer: Answer,
    taught: "Taught | None",
    before: Prediction | None,
    *,
    written: bool,
    read: "Informed | None" = None,
) -> dict[str, object]:
    """The answer of ``acidity``."""
    account = answer.account
    within = None if read is None else read.within
    return {
        "product": bench.brief.name,
        "formula": composition.name,
        "units": UNITS,
        "dilution": bench.brief.dilution,
        "prediction": prediction_form(account.prediction),
        "lots": None
        if answer.band is None
        else lots_form(bench, composition, within, only=answer.band),
        **({} if read is None else {"readings": read_form(read)}),
        "band": None if answer.band is None else rule_form(answer.band),
        "pulls": [_pull(one) for one in account.pulls],
        "unknown_alkalinity_tried": UNKNOWN_STEP,
        "step": STEP,
        "base_for_step_up": account.hold,
        "step_down": [_change(change) for change in answer.step_down],
        "step_up": [_change(change) for change in answer.step_up],
        "target": answer.target,
        "target_asked": answer.asked,
        "doses": [_dose(dose) for dose in answer.doses],
        "curve": _curve(answer),
        **_works(account),
        "learnt": None if taught is None else _learnt(taught, before, written=written),
    }


def _works(account: Account) -> dict[str, object]:
    return {
        "acid_preservatives": [
            {
                "substance": one.substance,
                "share": one.share,
                "undissociated": one.undissociated,
                "works_below_ph": one.works_below_ph,
            }
            for one in account.preserving
        ],
        "acid_to_amine": account.acid_to_amine,
    }


def _pull(one: Pull) -> dict[str, object]:
    return {
        "material": one.material.name,
        "share": one.share,
        "pull": one.pull,
        "ph_without": one.ph_without,
        "alkalinity": _span(one.material.alkalinity),
        "ph_at_ends": list(one.ends),
        "source": source_form(one.material.source),
    }


def _span(span: Span | None) -> dict[str, float] | None:
    return None if span is None else {"low": span.low, "typical": span.typical, "high": span.high}


def _dose(dose: Dose) -> dict[str, object]:
    return {
        **_change(dose.change),
        "breaks": list(dose.breaks),
        "by_a_hair": list(dose.hair),
    }


def _change(change: Adjustment) -> dict[str, object]:
    return {
        "material": change.material,
        "amount": change.amount,
        "obstacle": None if change.obstacle is None else change.obstacle.value,
    }


def _curve(answer: Answer) -> dict[str, object] | None:
    if answer.titrant is None:
        return None
    points = [{"amount": amount, "ph": ph} for amount, ph in answer.curve]
    return {"material": answer.titrant, "now": answer.held, "points": points}


def _learnt(taught: "Taught", before: Prediction | None, *, written: bool) -> dict[str, object]:
    readings, learned = taught.sample.readings, taught.learned
    return {
        "of": readings.of,
        "date": readings.date,
        "file": readings.where.file,
        "added": readings.added,
        "alkalinity": _span(learned.alkalinity),
        "buffer": learned.buffer,
        "buffer_learnt": learned.buffer_learnt,
        "read_with": readings.instrument.name,
        "read_within": readings.instrument.within,
        "clash": [number + 1 for number in learned.clash],
        "against_what_was_added": learned.against,
        "may_be_wrong": learned.left_out,
        "bar": _span(taught.bar),
        "narrowed": [
            {"material": one.material, "before": _span(one.before), "after": _span(one.after)}
            for one in taught.narrowed
        ],
        "within_the_model": learned.valid,
        "readings": [
            {"added": mass, "ph": ph, "ph_misfit": apart, "charge_misfit": charge}
            for (mass, ph), apart, charge in zip(
                readings.points, learned.ph_misfits, learned.charge_misfits, strict=True
            )
        ],
        "before": None if before is None else prediction_form(before),
        "entry": _lesson(taught.lesson),
        "written": written,
    }


def _lesson(lesson: "Lesson | None") -> dict[str, object] | None:
    if lesson is None:
        return None
    return {
        "material": lesson.material,
        "alkalinity": _span(lesson.alkalinity),
        "buffer": lesson.buffer,
    }
