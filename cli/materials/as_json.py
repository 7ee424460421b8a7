"""Materials as JSON."""

from collections.abc import Sequence

from ...constraints.model.material import Material


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
        "hazards": list(material.hazards),
        "source": {"citation": material.source.citation, "kind": material.source.kind.value},
    }
