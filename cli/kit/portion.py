"""What several commands ask of portions and money: options in the maker's units."""

from typing import TYPE_CHECKING, Annotated

import typer

from ...constraints.model.brief import Bench
from ...constraints.values.problem import Problem, Problems, Where
from ...constraints.values.units import Dimension, Misread, parse
from .loading import Format, leave

if TYPE_CHECKING:
    from ...workshop.fill.fill import Fill

Bars = Annotated[int, typer.Option("--bars", metavar="N", min=1, help="Bars in the batch.")]
FillAsked = Annotated[
    str | None,
    typer.Option(
        "--fill",
        metavar="MASS",
        help='Press so much a bar, such as "62 g"; else the smallest that keeps the net weight.',
    ),
]
Market = Annotated[
    str | None,
    typer.Option("--market", metavar="NAME", help="Only this market, not all of the brief."),
]
Weighings = Annotated[
    str | None,
    typer.Option(
        "--weighings",
        metavar="FILE|LIST",
        help='Bars as pressed, weighed one by one [g]: a file or a list such as "61.2 60.9 61.4".',
    ),
]
Packaging = Annotated[
    str | None,
    typer.Option("--packaging", metavar="MONEY", help='Packaging of a bar, such as "0.30 EUR".'),
]
Labour = Annotated[
    str | None,
    typer.Option("--labour", metavar="MONEY", help='Labour for the batch, such as "40 EUR".'),
]


def asked(
    text: str | None, dimension: Dimension, option: str, bench: Bench, shown: Format
) -> float | None:
    """An option's figure in its canonical unit; with a problem, tell it and exit 2."""
    if text is None:
        return None
    read = parse(text, dimension, {bench.brief.currency: 1.0})
    if isinstance(read, Misread):
        expected = _in_own_currency(text, dimension, bench) or read.expected
        return leave(Problems((Problem(Where(option), read.found, expected, read.nearest),)), shown)
    return read


def _in_own_currency(text: str, dimension: Dimension, bench: Bench) -> str:
    """What would be right where only the currency is wrong: an option knows no rates."""
    if isinstance(parse(text, dimension), Misread):
        return ""
    return f"an amount in {bench.brief.currency}, the currency of the brief"


def weighings_or_leave(text: str | None, shown: Format) -> tuple[float, ...]:
    """Weighings asked for [kg], none where none were; with problems, tell them and exit 2."""
    from ...constraints.bench.weighings_reading import read_weighings

    read = () if text is None else read_weighings(text)
    return leave(read, shown) if isinstance(read, Problems) else read


def markets_or_leave(
    bench: Bench, market: str | None, known: tuple[str, ...], shown: Format
) -> tuple[str, ...]:
    """The market asked for, else those of the brief; where there is none, say so and exit 2."""
    expected = f"one of {', '.join(known)}"
    if market is not None and market not in known:
        leave(Problems((Problem(Where("--market"), market, expected),)), shown)
    markets = bench.brief.markets if market is None else (market,)
    if not markets:
        where = Where("brief.toml", "product.markets")
        leave(Problems((Problem(where, "no market", f"{expected}, or --market"),)), shown)
    return markets


def beside(
    bench: Bench, packaging: str | None, labour: str | None, shown: Format
) -> tuple[float | None, float | None]:
    """Packaging of a bar and labour of a batch [money]: as asked, else as the brief says."""
    workshop = bench.brief.workshop
    a_bar = asked(packaging, Dimension.MONEY, "--packaging", bench, shown)
    a_batch = asked(labour, Dimension.MONEY, "--labour", bench, shown)
    return (
        workshop.packaging_a_bar if a_bar is None else a_bar,
        workshop.labour_a_batch if a_batch is None else a_batch,
    )


def portion_or_leave(
    bench: Bench,
    bars: int,
    *,
    mass: str | None,
    market: str | None,
    weighings: str | None,
    shown: Format,
) -> "tuple[float, Fill | None]":
    """Mass to press a bar [kg]: as asked, else the smallest that does, and why."""
    from ...constraints.market.net_content import markets_with_net_content
    from ...workshop.fill.fill import strictest

    given = asked(mass, Dimension.MASS, "--fill", bench, shown)
    if given is not None:
        return given, None
    found = strictest(
        bench,
        markets_or_leave(bench, market, markets_with_net_content(), shown),
        bars=bars,
        weighings=weighings_or_leave(weighings, shown),
    )
    if isinstance(found, Problems):
        instead = Problem(Where("--fill"), "nothing", 'or say what to press: --fill "62 g"')
        return leave(Problems((*found.items, instead)), shown)
    return found.set_to, found
