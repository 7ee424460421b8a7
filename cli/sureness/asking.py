"""How sure a maker asks to be."""

from typing import Annotated

import typer

from ...constraints.model.brief import Bench
from ...constraints.values.problem import refuse
from ...constraints.values.units import Dimension, Misread, parse

Asked = Annotated[
    str | None,
    typer.Option(
        "--sure",
        metavar="typical|95%|99%|always",
        help="Keep each rule in so many of the lots that the certificates allow.",
    ),
]

WORDS = {"typical": 0.0, "always": 1.0}


def share_asked(text: str | None, bench: Bench) -> float | None:
    """The share of lots asked for [1], or ``None`` where none was.

    A brief asks too, by rules that always hold, where it names what corrects a batch at the bench:
    its answer leans on that. Its other rules are then asked of typical lots.

    Raises:
        InputError: when it is none.
    """
    if text is None:
        from ...constraints.rules.acidity import band_of

        band = band_of(bench.brief)
        leans = band is not None and band.corrected_by is not None
        always = any(rule.within is not None for rule in bench.brief.rules)
        return WORDS["typical"] if leans and always else None
    if text in WORDS:
        return WORDS[text]
    read = parse(text, Dimension.SHARE)
    if isinstance(read, Misread) or not 0.5 <= read <= 0.999:
        refuse("--sure", text, "typical, always, or a share of lots from 50 % to 99.9 %")
    return read
