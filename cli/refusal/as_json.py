"""No composition, as JSON: clashes, ways out and the proof."""

from ...constraints.model.brief import Bench
from ...solver.cheapest.cheapest import Refusal
from ...solver.infeasible.concessions import Concession
from ...solver.infeasible.conflict import Clash
from ...solver.infeasible.purchases import Purchase
from ...solver.infeasible.reasons import Reasons
from ...solver.program.outcome import Program, Stopped
from ...solver.proof.proved import Unproved
from ..finding.as_json import parts_form, proof_form
from ..kit.as_json import units
from .words import missing, sides_of


def refusal_form(bench: Bench, refusal: Refusal, reasons: Reasons | None) -> dict[str, object]:
    """Why there is no composition."""
    head: dict[str, object] = {
        "product": bench.brief.name,
        "status": type(refusal.outcome).__name__.lower(),
        "units": units(bench),
    }
    if isinstance(refusal.outcome, Stopped):
        head["reason"] = refusal.outcome.reason
    return head if reasons is None else head | _reasons_form(bench, refusal, reasons)


def _reasons_form(bench: Bench, refusal: Refusal, reasons: Reasons) -> dict[str, object]:
    proved = not isinstance(reasons.proof, Unproved)
    return {
        "clashes": [_clash_form(refusal.program, clash) for clash in reasons.clashes.found],
        "clashes_complete": reasons.clashes.complete,
        "ways_out": [_concession_form(bench, way) for way in reasons.concessions],
        "materials_tried": reasons.tried,
        "materials_that_would_do": [_purchase_form(one) for one in reasons.purchases],
        "undone": sorted(reasons.undone),
        **proof_form(bench, refusal.program, refusal.rows, reasons.proof, proved=proved),
    }


def _clash_form(program: Program, clash: Clash) -> dict[str, object]:
    sides = sides_of(program, clash)
    return {
        "rules": [{"rule": name, "sides": sorted(sides.get(name, ()))} for name in clash.rules],
        "proved": clash.proof is not None,
    }


def _concession_form(bench: Bench, way: Concession) -> dict[str, object]:
    rules = {rule.id: rule for rule in bench.brief.rules}
    return {
        "limits": [
            {
                "rule": one.rule,
                "side": one.side,
                "from": one.old,
                "to": one.new,
                "just_possible_at": one.needed,
                "written_in": rules[one.rule].unit,
            }
            for one in way.moved
        ],
        "rules_given_up": [name for name in way.dropped if missing(bench, rules[name]) is None],
        "materials_to_get": [
            name for rule in way.dropped if (name := missing(bench, rules[rule])) is not None
        ],
        "past_what_a_maker_would_do": way.far,
        "cost": way.cost,
        "composition": parts_form(way.composition),
    }


def _purchase_form(one: Purchase) -> dict[str, object]:
    return {
        "material": one.material,
        "share": one.share,
        "worth_up_to": one.up_to,
        "held_to_usual_dose": one.held,
        "composition": parts_form(one.composition),
    }
