"""What the commands share that change a formula: options, reading, writing back with a note."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.values.problem import Problem, Where, refuse_all
from ..kit.writing import put_all

if TYPE_CHECKING:
    from ...constraints.bench.wish import Start
    from ...constraints.model.brief import Composition

PriceOf = Annotated[
    list[str] | None,
    typer.Option(
        "--price",
        metavar="MATERIAL=PRICE",
        help='A price for what is not on the shelf, such as "NAME=36.50 EUR/kg".',
    ),
]
Overwrite = Annotated[
    bool, typer.Option("--overwrite", help="Let --write replace a file that is there.")
]


def prices_of(written: Sequence[str]) -> dict[str, str]:
    """Prices as "MATERIAL=PRICE" by material.

    Raises:
        InputError: when one has no material.
    """
    parted = [text.rpartition("=") for text in written]
    refuse_all(
        Problem(Where("--price"), text, 'MATERIAL=PRICE, such as "NAME=36.50 EUR/kg"')
        for (name, _, _), text in zip(parted, written, strict=True)
        if not name.strip()
    )
    return {name.strip(): price.strip() for name, _, price in parted}


def write_formulas(
    formulas: Sequence[tuple[Path, "Composition", str]], sources: Sequence[Path], *, overwrite: bool
) -> None:
    """Write each formula with what it came from and why.

    Raises:
        InputError: when one of the files is there already and may not be replaced; then none is
            written.
    """
    from ...constraints.bench.writing import formula_text

    put_all(
        tuple(
            (path, formula_text(composition, because=because, source=str(source)))
            for (path, composition, because), source in zip(formulas, sources, strict=True)
        ),
        overwrite=overwrite,
    )


def because_of(start: "Start") -> str:
    """Why a formula was changed, for the file that it is written to."""
    asked_for = [*start.ruled_out, *(f"with {name}" for name in start.wanted)]
    return "; ".join([*asked_for, "the nearest that keeps every rule"])
