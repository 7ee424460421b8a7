"""How sure an answer is, as JSON."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ...solver.uncertain.informing import Informed
    from ...solver.uncertain.safety import Safe
    from ...solver.uncertain.tried import RuleTried, Tried
    from ...solver.uncertain.worth import Freeing


def sureness_form(safe: "Safe", yearly: float | None = None) -> Mapping[str, object]:
    """What was asked, what it costs, how it was tried, what a reading would be worth."""
    sure = safe.sure
    added = sure.correction
    return {
        "share": sure.share,
        "verified": sure.verified,
        "cost_of_safety": sure.finding.cost - safe.plain,
        "output": yearly,
        "correction": None
        if added is None
        else {"material": added.material.name, "most": added.most},
        "scales": dict(sure.scales),
        "tried": tried_form(sure.tried),
        "safety": [
            {
                "scale": one.scale,
                "cost": one.cost,
                "kept": one.kept,
                "most": one.most,
                "enters": list(one.enters),
                "leaves": list(one.leaves),
            }
            for one in safe.curve
        ],
        "worth_knowing": [
            {
                "material": one.material,
                "saves": one.saves,
                "by_contents": one.by_contents,
                "saves_a_year": None if yearly is None else one.saves * yearly,
                "steadier": one.steadier,
            }
            for one in safe.worths
        ],
    }


def read_form(read: "Informed") -> Mapping[str, object]:
    """What readings of bars leave possible [mol/kg]."""
    return {
        "taken": list(read.readings),
        "narrowed": [
            {
                "material": one.material,
                "before": None if one.before is None else asdict(one.before),
                "after": asdict(one.after),
            }
            for one in read.narrowed
        ],
    }


def freeing_form(found: "Freeing") -> Mapping[str, object]:
    """Which reading or certificate would make a demand for safety possible."""
    return {"materials": list(found.materials), "smallest": found.smallest}


def tried_form(found: "Tried") -> Mapping[str, object]:
    """What many lots do to each rule."""
    return {
        "lots": found.of,
        "broken": found.broken,
        "at_most": found.at_most,
        "sure": found.sure,
        "rules": [_rule(one) for one in found.rules],
    }


def _rule(one: "RuleTried") -> Mapping[str, object]:
    return {
        "rule": one.rule.id,
        "broken": one.broken,
        "at_most": one.at_most,
        "low": one.low,
        "middle": one.middle,
        "high": one.high,
    }
