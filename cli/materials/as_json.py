"""Materials as JSON."""

from collections.abc import Sequence

from ...constraints.model.material import Material, Span
from ...constraints.values.problem import Source


def materials_form(found: Sequence[Material]) -> dict[str, object]:
    """What is known of each material."""
    return {"materials": [_form(material) for material in found]}


def _form(material: Material) -> dict[str, object]:
    return {
        "material": material.name,
        "form": material.form.value,
        "phase": material.phase.value,
        "classes": list(material.classes),
        "tags": list(material.tags),
        "contents": [
            {"substance": inci, "low": span.low, "typical": span.typical, "high": span.high}
            for inci, span in material.contents.items()
        ],
        "dose": list(material.dose) if material.dose else None,
        "add_below_degC": material.add_below,
        "works_below_ph": material.works_below_ph,
        "reads": _reads_form(material),
        "alkalinity": _span(material.alkalinity),
        "keeps_above_ph": material.keeps_above_ph,
        "keeps_below_ph": material.keeps_below_ph,
        "never_with": dict(material.not_with),
        "beware_with": dict(material.wary_of),
        "dissolves_kg_in_kg": material.dissolves,
        "strength": material.strength,
        "also": list(material.also),
        "hazards": list(material.hazards),
        "sources": {name: _source_form(source) for name, source in material.cited()},
        "source": _source_form(material.source),
    }


def _source_form(source: Source) -> dict[str, str]:
    return {"citation": source.citation, "kind": source.kind.value}


def _span(span: Span | None) -> dict[str, float] | None:
    if span is None:
        return None
    return {"low": span.low, "typical": span.typical, "high": span.high}


def _reads_form(material: Material) -> dict[str, object] | None:
    reads = material.reads
    return None if reads is None else {"ph": _span(reads.ph), "dilution": reads.dilution}
