"""The box as JSON."""

from collections.abc import Sequence

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.verdict import Verdict
from ...workshop.label.lines import Label
from ..kit.as_json import source_form
from ..kit.notices import notice_form


def labels_form(
    bench: Bench, composition: Composition, labels: Sequence[Label], broken: Sequence[Verdict]
) -> dict[str, object]:
    """The box for each market."""
    return {
        "product": bench.brief.name,
        "formula": composition.name,
        "units": {"share": "kg per kg of mix as weighed", "net_held": "kg", "net_when_sold": "kg"},
        "rules_broken": [verdict.rule.id for verdict in broken],
        "labels": [label_form(made) for made in labels],
    }


def label_form(label: Label) -> dict[str, object]:
    """The box as JSON."""
    return {
        "market": label.market,
        "text": label.text,
        "net": label.net or None,
        "net_held": label.held or None,
        "net_when_sold": label.sold_at,
        "ingredients": [
            {
                "name": one.name,
                "low": one.share.low,
                "share": one.share.typical,
                "high": one.share.high,
                "group": one.group.name.lower(),
                "substances": list(one.substances),
                "allergen_entry": one.entry or None,
            }
            for one in label.ingredients
        ],
        "particulars": [{"what": what, "text": text or None} for what, text in label.particulars],
        "warnings": [
            {"warning": one.warning, "citation": one.source.citation} for one in label.warnings
        ],
        "notices": [notice_form(one) for one in label.notices],
        "claims": [
            {"words": text, "said": claim.text, "citation": claim.source.citation}
            for text, claim in label.claims
        ],
        "near_ties": [
            {
                "first": tie.first,
                "second": tie.second,
                "apart": tie.apart,
                "doubt": tie.doubt.name.lower(),
            }
            for tie in label.near_ties
        ],
        "near_threshold": list(label.near_threshold),
        "allergens_unknown": list(label.undeclared),
        "undecided": {inci: list(names) for inci, names in label.undecided.items()},
        "left_out": dict(label.left_out),
        "cautions": list(label.cautions),
        "notes": list(label.notes),
        "replaces_not": list(label.replaces_not),
        "no_claims": label.no_claims,
        "caution": label.caution,
        "sources": [source_form(one) for one in label.sources],
    }
