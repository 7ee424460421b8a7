"""How sure a maker asks to be."""

from collections.abc import Mapping, Sequence
from typing import Annotated

import typer

from ...constraints.model.brief import Bench
from ...constraints.values.names import the_name
from ...constraints.values.problem import Where, refuse
from ...constraints.values.units import Dimension, Misread, parse
from ..kit.options import EVERY

Asked = Annotated[
    str | None,
    typer.Option(
        "--sure",
        metavar="typical|95%|99%|always",
        help="Keep each rule in so many of the lots that the certificates allow.",
    ),
]

OutputAsked = Annotated[
    str | None,
    typer.Option(
        "--output",
        metavar="MASS/TIME",
        help='What you make, as "200 kg/month": what safety costs and readings save a year.',
    ),
]

PricesAsked = Annotated[
    list[str] | None,
    typer.Option(
        "--prices",
        metavar="NAME=SHARE",
        help='How far prices may move, as "all=20%": a cap on cost then holds for them too.',
    ),
]

A_YEAR = {"week": 52.0, "month": 12.0, "year": 1.0}

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


def output_asked(text: str | None, sure: str | None) -> float | None:
    """What is made [kg a year], or ``None`` where that was not said.

    Raises:
        InputError: when it is none, or nothing was asked to which it belongs.
    """
    if text is None:
        return None
    mass, _, time = text.rpartition("/")
    read = parse(mass, Dimension.MASS)
    times = A_YEAR.get(time.strip().removeprefix("a "))
    if isinstance(read, Misread) or times is None or not 0.0 < read * times < 1e9:
        refuse("--output", text, 'a mass a week, a month or a year, as "200 kg/month"')
    if sure is None:
        refuse("--output", "no --sure beside it", "--sure 99%, say, whose cost it is to tell")
    return read * times


def prices_asked(said: Sequence[str], sure: str | None, bench: Bench) -> Mapping[str, float]:
    """How far the price of each material may move, as a share of today's [1].

    Raises:
        InputError: when one cannot be understood, or nothing was asked to which it belongs.
    """
    if said and sure is None:
        refuse("--prices", "no --sure beside it", "--sure 99%, say, which is to hold for them")
    found: dict[str, float] = {}
    for text in said:
        called, _, share = text.rpartition("=")
        read = parse(share, Dimension.SHARE)
        if not called or isinstance(read, Misread) or not 0.0 < read < 1.0:
            refuse("--prices", text, '"NAME=20%" or "all=20%"')
        if called == EVERY:
            found |= dict.fromkeys(bench.material_names, read)
        else:
            where = Where("--prices")
            found[the_name(where, called, bench.names, "all, or a material on the shelf")] = read
    return found
