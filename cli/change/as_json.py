"""A changed formula as JSON: schema 1, stable keys, numbers in canonical units."""

from typing import TYPE_CHECKING

from ...solver.cheapest.cheapest import Refusal
from ..kit.as_json import acidity_form, composition_form, units, verdict_form

if TYPE_CHECKING:
    from ...constraints.model.brief import Bench
    from ...solver.nearest.candidates import Search
    from ...solver.nearest.forcing import Forced
    from ...solver.nearest.nearest import Near
    from ...solver.program.deadline import Deadline
    from ...workshop.changing.comparison import Change, Comparison
    from ...workshop.changing.replacing import NoReplacement, Replacement


def replacement_form(answer: "Replacement") -> dict[str, object]:
    """The answer of ``replace``."""
    bench, exchange = answer.start.bench, answer.exchange
    return {
        "product": bench.brief.name,
        "status": "nearest",
        "units": units(bench),
        "without": list(answer.start.without),
        "with": list(answer.start.wanted),
        **near_form(bench, answer.near),
        "comparison": comparison_form(answer.comparison),
        "exchange": None if exchange is None else near_form(bench, exchange),
        "in_the_way": list(answer.in_the_way),
        "nearest": _near_or_none(bench, answer.nearest),
        "cheapest": _near_or_none(bench, answer.cheapest),
        "unused": [
            {"material": name, "with_some": _near_or_not(bench, other)}
            for name, other in answer.unused
        ],
        "forced": forced_form(answer.forced),
        "frontier": None
        if answer.corners is None
        else [
            {
                "changed": one.apart,
                "cost": one.cost,
                "used": list(one.used),
                "composition": dict(one.composition.parts),
            }
            for one in answer.corners
        ],
        "look_for": None if answer.search is None else search_form(bench, answer.search),
        "undone": sorted(answer.undone),
    }


def forced_form(found: "Forced | None") -> dict[str, object] | None:
    """Which rules force more changes than few."""
    if found is None:
        return None
    return {
        "fewest": found.fewest,
        "going": list(found.going),
        "without_rules": found.without,
        "rules": list(found.rules),
    }


def no_replacement_form(
    answer: "NoReplacement", deadline: "Deadline | None" = None
) -> dict[str, object]:
    """Why there is no answer, the ways out, and what to look for."""
    from ...solver.infeasible.reasons import reasons
    from ...solver.program.deadline import NEVER
    from ...solver.program.outcome import Infeasible
    from ..refusal.as_json import refusal_form
    from ..refusal.view import WAYS

    bench, refusal = answer.start.bench, answer.refusal
    why = None
    if isinstance(refusal.outcome, Infeasible):
        why = reasons(bench, refusal, most_ways=WAYS, deadline=deadline or NEVER)
    return {
        **refusal_form(bench, refusal, why),
        "without": list(answer.start.without),
        "with": list(answer.start.wanted),
        "in_the_way": list(answer.in_the_way),
        "look_for": None if answer.search is None else search_form(bench, answer.search),
    }


def near_form(bench: "Bench", near: "Near") -> dict[str, object]:
    """A composition near a formula."""
    return {
        "cost": near.cost,
        "changed": {stage.value: share for stage, share in near.changed.items()},
        "distance": {stage.value: apart for stage, apart in near.apart.items()},
        "touched": list(near.touched),
        "sensible": near.sensible,
        **composition_form(bench, near.composition),
        "prediction": acidity_form(bench, near.composition),
        "rules": [verdict_form(verdict) for verdict in near.verdicts],
    }


def comparison_form(comparison: "Comparison") -> dict[str, object]:
    """Two bars side by side."""
    before, after = comparison.ph
    return {
        "materials": [_change(one) for one in comparison.materials],
        "classes": [_change(one) for one in comparison.classes],
        "substances": [_change(one) for one in comparison.substances],
        "ph": {
            "before": {"value": before.ph, "low": before.low, "high": before.high},
            "after": {"value": after.ph, "low": after.low, "high": after.high},
        },
        "cost": {"before": comparison.cost[0], "after": comparison.cost[1]},
        "bar": None
        if comparison.bar is None
        else {"before": comparison.bar[0], "after": comparison.bar[1]},
        "rules": [
            {
                "rule": one.rule.id,
                "before": {"value": one.value, "kept": one.kept, "room": one.room},
                "after": {"value": other.value, "kept": other.kept, "room": other.room},
            }
            for one, other in comparison.rules
        ],
        "do_again": [
            {"what": due.what.value, "changed": list(due.touched)} for due in comparison.due
        ],
        "arriving": list(comparison.arriving),
        "beyond_advice": list(comparison.beyond_advice),
    }


def search_form(bench: "Bench", search: "Search") -> dict[str, object]:
    """What the catalogue has that would help."""
    return {
        "tried": search.tried,
        "helping": search.helping,
        "cut_short": search.cut,
        "best": [
            {
                "material": one.material,
                "share": one.share,
                "worth": one.worth,
                "usual_dose": None if one.usual is None else list(one.usual),
                "cost_of_the_rest": one.near.cost,
                "distance": {stage.value: apart for stage, apart in one.near.apart.items()},
                "changed": {stage.value: apart for stage, apart in one.near.changed.items()},
                "composition": dict(one.near.composition.parts),
            }
            for one in search.best
        ],
    }


def _near_or_not(bench: "Bench", found: "Near | Refusal") -> dict[str, object] | None:
    return None if isinstance(found, Refusal) else near_form(bench, found)


def _near_or_none(bench: "Bench", found: "Near | None") -> dict[str, object] | None:
    return None if found is None else near_form(bench, found)


def _change(change: "Change") -> dict[str, object]:
    return {"name": change.name, "before": change.before, "after": change.after}
