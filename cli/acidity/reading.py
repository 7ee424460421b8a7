"""``barwright acidity … --reads``: what to add to a batch that reads a pH."""

from typing import TYPE_CHECKING

from ...constraints.values.names import the_name
from ...constraints.values.problem import Where, refuse
from ...constraints.values.units import Dimension
from ..kit.answer import answered
from ..kit.portion import asked

if TYPE_CHECKING:
    from ...constraints.model.brief import Bench, Composition
    from ..kit.options import Format

USUAL_BATCH = "1 kg"


def answer_reading(
    bench: "Bench",
    composition: "Composition",
    reads: float,
    *,
    batch: str | None,
    using: str | None,
    shown: "Format",
) -> None:
    """Say what to add.

    Raises:
        InputError: when nothing says where to go or with what.
    """
    from ...workshop.acid.correcting import corrected
    from ..sheet.correcting import correction_form, show_correction

    mass = asked(batch or USUAL_BATCH, Dimension.MASS, "--batch", bench)
    if not mass:
        refuse("--batch", str(batch), 'a mass above nothing, such as "750 g"')
    found = corrected(bench, composition, _added(bench, using), reads, mass)
    answered(
        "acidity",
        shown,
        lambda: {
            "product": bench.brief.name,
            "formula": composition.name,
            "units": {"mass": "kg"},
            "batch": mass,
            "correction": correction_form(found),
        },
        lambda console, _: show_correction(console, found, mass),
    )


def _added(bench: "Bench", using: str | None) -> str:
    """What is added: as asked, else as the brief says."""
    from ...constraints.rules.acidity import band_of

    band = band_of(bench.brief)
    if band is None:
        refuse("--reads", "a brief without a rule on pH", "one, to know where to go")
    if using is not None:
        return the_name(Where("--using"), using, bench.names, "a material on the shelf")
    if band.corrected_by is None:
        refuse("--using", "nothing", "an acid or base to add, or corrected_by in the rule on pH")
    return band.corrected_by
