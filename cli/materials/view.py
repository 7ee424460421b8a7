"""Materials on the screen: a list of them, or one in full."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...constraints.model.material import Material, Span
from ...constraints.values.problem import Source
from ..kit.screen import heading, paragraph, table

if TYPE_CHECKING:
    from rich.console import Console


def show_materials(console: "Console", found: Sequence[Material]) -> None:
    """One material in full, or a line for each of several."""
    if len(found) == 1:
        _show_one(console, found[0])
        return
    made = table("material", "form", "what it does")
    for material in found:
        made.add_row(material.name, material.form, ", ".join(material.classes))
    console.print(made)
    console.print(f"{len(found)} materials; name one in full to see what is in it.")


def _show_one(console: "Console", material: Material) -> None:
    paragraph(console, material.name)
    facts = table("", "")
    facts.show_header = False
    for label, text in _facts(material):
        facts.add_row(label, text)
    console.print(facts)
    heading(console, "Contents")
    contents = table("substance", "typical", "range", right=(1, 2))
    for inci, span in material.contents.items():
        contents.add_row(inci, f"{span.typical:.2%}", _range(span))
    console.print(contents)


def _facts(material: Material) -> list[tuple[str, str]]:
    dose = material.dose
    facts = [
        ("form", material.form),
        ("goes in with", f"the {material.phase} phase"),
        ("classes", ", ".join(material.classes)),
        ("tags", ", ".join(material.tags)),
        ("usual share", f"{dose[0]:.2%} to {dose[1]:.2%}" if dose else ""),
        ("goes in below", f"{material.add_below:g} °C" if material.add_below is not None else ""),
        ("works below", f"pH {material.works_below_ph:g}" if material.works_below_ph else ""),
        ("keeps at", _keeps(material)),
        ("a solution reads", _reads(material)),
        ("alkalinity", _alkalinity(material)),
        ("dissolves", f"{material.dissolves:g} kg in a kg of water" if material.dissolves else ""),
        ("conditions as", f"{material.strength:g} of its mass" if material.strength else ""),
        ("never with", "; ".join(f"{who}: {why}" for who, why in material.not_with.items())),
        ("beware with", "; ".join(f"{who}: {why}" for who, why in material.wary_of.items())),
        ("also called", ", ".join(material.also)),
        ("hazards", ", ".join(material.hazards)),
        ("source", _cited(material.source)),
    ]
    facts += [
        (f"source, {about.replace('_', ' ')}", _cited(source)) for about, source in material.cited()
    ]
    return [(label, text) for label, text in facts if text]


def _cited(source: Source) -> str:
    return f"{source.citation} ({source.kind})"


def _keeps(material: Material) -> str:
    low, high = material.keeps_above_ph, material.keeps_below_ph
    ends = f"{low:g} and above" if high is None and low is not None else ""
    ends = f"{high:g} and below" if low is None and high is not None else ends
    ends = f"{low:g} to {high:g}" if low is not None and high is not None else ends
    return f"pH {ends}" if ends else ""


def _reads(material: Material) -> str:
    reads = material.reads
    if reads is None:
        return ""
    ph = reads.ph
    return f"pH {ph.typical:g} ({ph.low:g} to {ph.high:g}) at {reads.dilution * 100:g} %"


def _alkalinity(material: Material) -> str:
    span = material.alkalinity
    if span is None:
        return "not known"
    if span.low == span.high:
        return f"{span.typical:g} mol/kg"
    return f"{span.typical:.2g} mol/kg ({span.low:.2g} to {span.high:.2g})"


def _range(span: Span) -> str:
    return "" if span.low == span.high else f"{span.low:.2%} to {span.high:.2%}"
