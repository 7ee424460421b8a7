"""``barwright materials``: look up raw materials in the catalogue."""

from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.material import Material, Span
from ..kit.exit import Exit
from ..kit.loading import Format, Shown

if TYPE_CHECKING:
    from rich.console import Console


def command(
    words: Annotated[
        list[str] | None,
        typer.Argument(metavar="[WORDS]", help="Words to look for.", show_default=False),
    ] = None,
    *,
    shown: Shown = Format.TABLE,
) -> None:
    """List the catalogue's materials, those that match all WORDS, or one in full.

    A word may stand in a name, a class, a tag or a substance the material contains.
    """
    from ...constraints.catalogue import catalogue

    wanted = [word.casefold() for word in words or []]
    name = " ".join(words or [])
    if name in catalogue.material_names():
        found: tuple[Material, ...] = (catalogue.material(name),)
    else:
        everything = (catalogue.material(each) for each in catalogue.material_names())
        found = tuple(material for material in everything if _matches(material, wanted))
    if shown is Format.JSON:
        from ..kit.as_json import dumped

        typer.echo(dumped("materials", {"materials": [_form(material) for material in found]}))
    else:
        _show(found, name)
    if not found:
        raise typer.Exit(Exit.BAD_INPUT)


def _matches(material: Material, wanted: list[str]) -> bool:
    text = " | ".join((material.name, *material.classes, *material.tags, *material.contents))
    folded = text.casefold()
    return all(word in folded for word in wanted)


def _show(found: tuple[Material, ...], name: str) -> None:
    from ..kit.screen import stdout, table

    if not found:
        from ...constraints.catalogue import catalogue
        from ...constraints.values.names import nearest_names
        from ..kit.screen import complain

        near = " · ".join(nearest_names(name, catalogue.material_names()))
        complain([f"no material matches: {name}", *([f"  nearest   {near}"] if near else [])])
        return
    console = stdout()
    if len(found) == 1:
        _show_one(console, found[0])
        return
    made = table("material", "form", "what it does")
    for material in found:
        made.add_row(material.name, material.form, ", ".join(material.classes))
    console.print(made)
    console.print(f"{len(found)} materials; name one in full to see what is in it.")


def _show_one(console: "Console", material: Material) -> None:
    from ..kit.screen import heading, paragraph, table

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
        ("alkalinity", _alkalinity(material)),
        ("hazards", ", ".join(material.hazards)),
        ("source", f"{material.source.citation} ({material.source.kind})"),
    ]
    return [(label, text) for label, text in facts if text]


def _alkalinity(material: Material) -> str:
    span = material.alkalinity
    if span is None:
        return "not known"
    if span.low == span.high:
        return f"{span.typical:g} mol/kg"
    return f"{span.typical:g} mol/kg ({span.low:g} to {span.high:g})"


def _range(span: Span) -> str:
    return "" if span.low == span.high else f"{span.low:.2%} to {span.high:.2%}"


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
