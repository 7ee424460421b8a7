"""How sure a maker asks to be."""

from typing import Annotated

import typer

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


def share_asked(text: str | None) -> float | None:
    """The share of lots asked for [1], or ``None`` where none was.

    Raises:
        InputError: when it is none.
    """
    if text is None:
        return None
    if text in WORDS:
        return WORDS[text]
    read = parse(text, Dimension.SHARE)
    if isinstance(read, Misread) or not 0.5 <= read <= 0.999:
        refuse("--sure", text, "typical, always, or a share of lots from 50 % to 99.9 %")
    return read
