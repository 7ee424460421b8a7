"""A judgement as JSON."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ...constraints.model.brief import Composition
from ...constraints.model.verdict import Verdict
from ..finding.lots import lots_form
from ..finding.second_look import look_form
from ..kit.as_json import acidity_form, composition_form, units, verdict_form
from ..kit.notices import notice_form, pending_changes
from ..sureness.as_json import read_form

if TYPE_CHECKING:
    from ...solver.uncertain.informing import Informed


def judgement_form(
    read: "Informed", composition: Composition, verdicts: Sequence[Verdict]
) -> Mapping[str, object]:
    """A composition, its cost and every rule's verdict."""
    bench = read.bench
    return {
        "product": bench.brief.name,
        "formula": composition.name,
        "units": units(bench),
        "cost": bench.cost_of(composition),
        "kept": all(verdict.kept for verdict in verdicts),
        **composition_form(bench, composition),
        "prediction": acidity_form(bench, composition),
        "second_look": look_form(bench, composition),
        "lots": lots_form(bench, composition, read.within),
        **({"readings": read_form(read)} if read.readings else {}),
        "rules": [verdict_form(verdict) for verdict in verdicts],
        "changes_to_come": [notice_form(one) for one in pending_changes(bench, composition)],
    }
