"""The same findings as JSON: schema 1, stable keys, numbers in canonical units."""

import json
from collections.abc import Iterable, Mapping
from math import isfinite
from typing import TYPE_CHECKING

from ...constraints.model.brief import Bench, Composition
from ...constraints.model.contents import contents_of
from ...constraints.model.rule import Limited, Rule
from ...constraints.model.shelf import Offer
from ...constraints.model.verdict import Verdict
from ...constraints.rules.acidity import acidity_of
from ...constraints.values.problem import Problems, Source
from ...solver.cheapest.cheapest import Finding

if TYPE_CHECKING:
    from ...constraints.acidity.prediction import Prediction

SCHEMA = 1


def dumped(command: str, body: Mapping[str, object]) -> str:
    """A finding as a JSON document."""
    return json.dumps(
        {"schema": SCHEMA, "command": command, **body},
        ensure_ascii=False,
        indent=2,
        allow_nan=False,
    )


def units(bench: Bench) -> dict[str, str]:
    """What the numbers of a document are counted in."""
    return {
        "share": "kg per kg of mix",
        "cost": f"{bench.brief.currency} per kg of mix",
        "price": f"{bench.brief.currency} per kg",
        "rule values and limits": "the canonical unit of each rule: kg/kg, money/kg or pH",
    }


def finding_form(bench: Bench, finding: Finding) -> dict[str, object]:
    """The answer of ``cheapest``."""
    return {
        "product": bench.brief.name,
        "status": "optimal",
        "units": units(bench),
        "cost": finding.cost,
        "conditional_on_choice": finding.conditional,
        **composition_form(bench, finding.composition),
        "prediction": acidity_form(bench, finding.composition),
        "rules": [verdict_form(verdict) for verdict in finding.verdicts],
        "binding": [
            {
                "rule": price.rule,
                "side": price.side,
                "step": price.step,
                "tighter_adds": price.tighter,
                "looser_saves": price.looser,
            }
            for price in finding.prices
        ],
        "left_out": [
            {"material": left.material, "price": left.price, "enters_below": left.enters_below}
            for left in finding.left_out
        ],
    }


def composition_form(bench: Bench, composition: Composition) -> dict[str, object]:
    """Materials and contents of a composition."""
    return {
        "composition": [
            {
                "material": name,
                "share": share,
                "cost": share * bench.item(name).price,
                "offer": offer_form(bench.item(name).offer),
            }
            for name, share in sorted(
                composition.parts.items(), key=lambda part: (-part[1], part[0])
            )
        ],
        "contents": [
            {"substance": inci, "share": share, "classes": list(bench.substances[inci].classes)}
            for inci, share in contents_of(bench, composition).items()
        ],
    }


def offer_form(offer: Offer | None) -> dict[str, object] | None:
    """The way to buy a material that prices it."""
    if offer is None:
        return None
    return {"supplier": offer.supplier, "pack": offer.pack, "price": offer.price}


def acidity_form(bench: Bench, composition: Composition) -> dict[str, object] | None:
    """The predicted pH with its range; ``None`` in a brief that says nothing of pH."""
    rule = acidity_of(bench.brief)
    if rule is None:
        return None
    from ...constraints.acidity.prediction import predict

    parts = bench.parts_of(composition)
    return prediction_form(predict(parts, bench.substances, rule.dilution))


def prediction_form(found: "Prediction") -> dict[str, object]:
    """A predicted pH, its range, and what it rests on."""
    return {
        "ph": found.ph,
        "low": found.low,
        "high": found.high,
        "ionic_strength": found.ionic_strength,
        "within_the_model": found.valid,
        "unknown": list(found.unknown),
    }


def verdict_form(verdict: Verdict) -> dict[str, object]:
    """One rule and what it says of a composition."""
    return {
        **rule_form(verdict.rule),
        "value": verdict.value,
        "kept": verdict.kept,
        "unsure": None if verdict.unsure is None else verdict.unsure.value,
        "room_low": verdict.room_low,
        "room_high": verdict.room_high,
    }


def rule_form(rule: Rule) -> dict[str, object]:
    """One rule as it stands in the brief."""
    low, high = (rule.low, rule.high) if isinstance(rule, Limited) else (None, None)
    return {
        "rule": rule.id,
        "type": rule.word,
        "kind": rule.kind.value,
        "because": rule.because,
        "low": _finite(low),
        "high": _finite(high),
        "written_in": rule.unit,
        "file": rule.where.file,
        "place": rule.where.place,
        "source": source_form(rule.source),
    }


def source_form(source: Source | None) -> dict[str, str] | None:
    """Where a rule or figure comes from."""
    if source is None:
        return None
    return {"citation": source.citation, "kind": source.kind.value, "date": source.date}


def problems_form(problems: Problems) -> list[dict[str, object]]:
    """Everything wrong with an input."""
    return [
        {
            "file": problem.where.file,
            "place": problem.where.place,
            "found": problem.found,
            "expected": problem.expected,
            "nearest": list(problem.nearest),
        }
        for problem in problems.items
    ]


def names(items: Iterable[str]) -> list[str]:
    """A list of names, in order, each once."""
    return list(dict.fromkeys(items))


def _finite(value: float | None) -> float | None:
    return value if value is not None and isfinite(value) else None
